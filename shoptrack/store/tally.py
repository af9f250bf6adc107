"""What replay says of each pass becomes rows that lists and fits read, and is compared with them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, delete, insert, select, tuple_, update
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Pass
from shoptrack.store.tables import TallyRow

_CLOSE_ENOUGH_MIN = 1e-6
_AT_ONCE = 5000  # ids in one question to the database, which takes 32,766


@dataclass(frozen=True)
class Line:
    """The tally of one pass; its fields are the table's columns."""

    stage_id: int
    redo: int
    standing: str
    quantity: float
    attended_min: float
    elapsed_min: float
    machine_min: float
    mend_min: float
    mend_cents: int
    started_at: datetime | None
    finished_at: datetime | None
    teaches: bool
    why_not: str
    together: str


_GROWING = {"attended_min", "elapsed_min", "machine_min", "teaches", "why_not"}
_DOUBTED = {"teaches", "why_not"}
"""What changes when a sitting that goes on with other stages grows past its limit."""
_COLUMNS = [f.name for f in fields(Line)]
_TABLE = TallyRow.metadata.tables["tally"]  # without the mapper: a tap waits for this
_MOVE = (
    update(_TABLE)
    .where(_TABLE.c.stage_id == bindparam("new_stage_id"), _TABLE.c.redo == bindparam("new_redo"))
    .values({name: bindparam(f"new_{name}") for name in _COLUMNS[2:]})
)


def standing_of(work: Pass) -> str:
    """How a pass stands, by the log alone: what it waits for or cures is reckoned elsewhere."""
    if work.finished_at is not None:
        return "done"
    if work.aside_by:
        return "put aside"
    if work.running:
        return "running"
    if work.open_stints:
        return "in hand"
    return "set down" if work.started_at is not None else "not started"


def line_of(work: Pass) -> Line:
    """The tally of a pass."""
    return Line(
        stage_id=work.stage,
        redo=work.redo,
        standing=standing_of(work),
        quantity=work.quantity,
        attended_min=work.attended_min,
        elapsed_min=work.elapsed_min,
        machine_min=work.machine_min,
        mend_min=work.mend_min,
        mend_cents=work.mend_cents,
        started_at=work.started_at,
        finished_at=work.finished_at,
        teaches=work.teaches,
        why_not=work.why_not,
        together=",".join(str(stage) for stage in work.together),
    )


def rewrite(session: Session, passes: Iterable[Pass]) -> None:
    """Make the tally of these stages say what their passes say, writing only what differs.

    Takes all passes of each stage concerned. A first pass that nobody has touched has no row.
    """
    works = list(passes)
    new = _lines(works)
    old = _stored(session, {work.stage for work in works})
    gone = [key for key in old if key not in new]
    if gone:
        session.execute(delete(TallyRow).where(tuple_(TallyRow.stage_id, TallyRow.redo).in_(gone)))
    added = [_values(line) for key, line in new.items() if key not in old]
    if added:
        session.execute(insert(_TABLE), added)
    moved = [{f"new_{name}": value for name, value in _values(line).items()} for line in _moved(old, new)]
    if moved:
        session.execute(_MOVE, moved)


def _moved(old: Mapping[tuple[int, int], Line], new: Mapping[tuple[int, int], Line]) -> list[Line]:
    return [line for key, line in new.items() if key in old and old[key] != line]


def differences(session: Session, passes: Iterable[Pass]) -> list[str]:
    """Where the whole tally differs from the passes of the whole log; one plain sentence each.

    Minutes of what is still going on grow by themselves, so they are not compared.
    """
    works = list(passes)
    new, old = _lines(works), _stored(session, None)
    going_on = {(work.stage, work.redo) for work in works if work.open_stints or work.running}
    open_sittings = {stint.start_id for work in works for stint in work.open_stints}
    part_of = {(w.stage, w.redo) for w in works if open_sittings & {s.start_id for s in w.stints}}
    found = [f"{_name(key)} has a row that the log knows nothing of." for key in old if key not in new]
    found += [f"{_name(key)} has no row." for key in new if key not in old]
    for key in sorted(new.keys() & old.keys()):
        for name in _COLUMNS:
            said, kept = getattr(new[key], name), getattr(old[key], name)
            grows = (key in going_on and name in _GROWING) or (key in part_of and name in _DOUBTED)
            if not _same(said, kept) and not grows:
                found.append(f"{_name(key)}: {name} is {kept}, by the log it is {said}.")
    return found


def _lines(passes: Iterable[Pass]) -> dict[tuple[int, int], Line]:
    lines = (line_of(work) for work in passes if _is_touched(work))
    return {(line.stage_id, line.redo): line for line in lines}


def _is_touched(work: Pass) -> bool:
    acted = work.started_at or work.finished_at or work.stints or work.rounds or work.aside_by
    return bool(acted or work.runs or work.redo or work.attended_min or work.mend_min or work.mend_cents)


def _stored(session: Session, stages: set[int] | None) -> dict[tuple[int, int], Line]:
    columns = [getattr(TallyRow, name) for name in _COLUMNS]
    if stages is None:
        rows: list[Any] = list(session.execute(select(*columns)))
    else:
        rows, ids = [], sorted(stages)
        for start in range(0, len(ids), _AT_ONCE):
            some = TallyRow.stage_id.in_(ids[start : start + _AT_ONCE])
            rows += session.execute(select(*columns).where(some))
    return {(row.stage_id, row.redo): Line(*row) for row in rows}


def _values(line: Line) -> dict[str, object]:
    return {name: getattr(line, name) for name in _COLUMNS}


def _name(key: tuple[int, int]) -> str:
    stage, redo = key
    return f"Stage {stage}" + (f", redo {redo}" if redo else "")


def _same(said: object, kept: object) -> bool:
    if isinstance(said, float) and isinstance(kept, float):
        return abs(said - kept) <= _CLOSE_ENOUGH_MIN
    return said == kept
