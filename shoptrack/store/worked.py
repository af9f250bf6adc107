"""What replay says of stages that use tools becomes rows of when these were at work; and rows become cuts."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, delete, exists, insert, or_, select, tuple_
from sqlalchemy.orm import Session

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Cut, Dated, Pass, World, in_force
from shoptrack.engine.worked import Stretch, stretches
from shoptrack.store import log, snapshot
from shoptrack.store.shop import find_shop
from shoptrack.store.tables import MaterialWearRow, StageRow, StageToolRow, TallyRow, WorkedRow

_CLOSE_ENOUGH_MIN = 1e-6
_AT_ONCE = 5000  # ids in one question to the database, which takes 32,766
_TABLE = WorkedRow.metadata.tables["worked"]  # without the mapper: a tap waits for this

Key = tuple[int, int]
Stretches = Mapping[Key, tuple[Stretch, ...]]


def rewrite(session: Session, passes: Iterable[Pass], world: World) -> frozenset[int]:
    """Make the rows of these stages say when their tools were at work, writing only what differs.

    Takes all passes of each stage concerned, and a world that has these stages. One without tools has none.
    Gives the stages of which something differed.
    """
    works = list(passes)
    new, old = _said(works, world), _stored(session, {work.stage for work in works})
    changed = [key for key in new.keys() | old.keys() if new.get(key) != old.get(key)]
    gone = [key for key in changed if key in old]
    for start in range(0, len(gone), _AT_ONCE):
        some = tuple_(WorkedRow.stage_id, WorkedRow.redo).in_(gone[start : start + _AT_ONCE])
        session.execute(delete(WorkedRow).where(some))
    rows = [row for key in sorted(changed) for row in _rows(key, new.get(key, ()))]
    if rows:
        session.execute(insert(_TABLE), rows)
    return frozenset(stage for stage, _ in changed)


def differences(session: Session, passes: Iterable[Pass], world: World) -> list[str]:
    """Where the rows differ from the passes of the whole log; one plain sentence each."""
    new, old = _said(passes, world), _stored(session, None)
    return [
        f"{_name(key)}: when its tools were at work is not as the log says it."
        for key in sorted(new.keys() | old.keys())
        if not _same(new.get(key, ()), old.get(key, ()))
    ]


def fill(session: Session, now: datetime) -> bool:
    """Write the rows of a database that comes from before there were any; gives whether it did."""
    if not _lacking(session) or find_shop(session) is None:
        return False
    world = snapshot.whole_world(session)
    state = replay(log.whole_log(session), world, now)
    rewrite(session, (work for passes in state.passes.values() for work in passes), world)
    return True


def _lacking(session: Session) -> bool:
    """Whether there is no row at all though stages that use tools were worked on."""
    worked_on = exists().where(
        TallyRow.stage_id == StageToolRow.stage_id, or_(TallyRow.elapsed_min > 0, TallyRow.machine_min > 0)
    )
    return bool(session.scalar(select(worked_on))) and session.scalar(select(WorkedRow.stage_id)) is None


def _said(passes: Iterable[Pass], world: World) -> dict[Key, tuple[Stretch, ...]]:
    found = {}
    for work in passes:
        stage = world.stages.get(work.stage)
        if stage is not None and stage.tools and (own := stretches(work, world.calendar)):
            found[work.stage, work.redo] = own
    return found


def _stored(session: Session, stages: Collection[int] | None) -> dict[Key, tuple[Stretch, ...]]:
    table = _TABLE.c
    chosen = select(table.stage_id, table.redo, table.start_at, table.end_at, table.minutes)
    chosen = chosen.order_by(table.stage_id, table.redo, table.place)
    rows: list[Any] = []
    if stages is None:
        rows += session.execute(chosen)
    else:
        ids = sorted(stages)
        for start in range(0, len(ids), _AT_ONCE):
            rows += session.execute(chosen.where(table.stage_id.in_(ids[start : start + _AT_ONCE])))
    found: dict[Key, list[Stretch]] = {}
    for stage, redo, *stretch in rows:
        found.setdefault((stage, redo), []).append(Stretch(*stretch))
    return {key: tuple(own) for key, own in found.items()}


def _rows(key: Key, own: Iterable[Stretch]) -> Iterable[dict[str, object]]:
    stage, redo = key
    for place, one in enumerate(own):
        yield {
            "stage_id": stage,
            "redo": redo,
            "place": place,
            "start_at": one.start,
            "end_at": one.end,
            "minutes": one.minutes,
        }


def _same(said: tuple[Stretch, ...], kept: tuple[Stretch, ...]) -> bool:
    return len(said) == len(kept) and all(
        (a.start, a.end) == (b.start, b.end) and abs(a.minutes - b.minutes) <= _CLOSE_ENOUGH_MIN
        for a, b in zip(said, kept, strict=True)
    )


def _name(key: Key) -> str:
    stage, redo = key
    return f"Stage {stage}" + (f", redo {redo}" if redo else "")


def cuts(
    session: Session,
    tools: Collection[int] | None = None,
    since: datetime | None = None,
    stages: Collection[int] | None = None,
) -> list[Cut]:
    """What tools (default all) cut on stages (default all), in stretches that ended after an instant.

    Gives them by when they began.
    """
    wear = _wear(session)
    found = []
    for tool, stage, start, end, minutes, material in session.execute(_cuts(tools, since, stages)):
        dated = wear.get(material)
        found.append(Cut(tool, stage, start, end, minutes, in_force(dated, start) if dated else 1.0))
    return found


def _wear(session: Session) -> dict[int | None, Dated[float]]:
    """How hard each material is on an edge, by date."""
    found: dict[int | None, list[tuple[datetime, float]]] = {}
    rows = select(MaterialWearRow.material_id, MaterialWearRow.from_at, MaterialWearRow.factor)
    for material, from_at, factor in session.execute(rows.order_by(MaterialWearRow.from_at)):
        found.setdefault(material, []).append((from_at, factor))
    return {material: tuple(dated) for material, dated in found.items()}


def _cuts(
    tools: Collection[int] | None, since: datetime | None, stages: Collection[int] | None
) -> Select[*tuple[Any, ...]]:
    """(tool, stage, start, end, minutes of the tool, material)."""
    conditions: list[ColumnElement[bool]] = []
    if tools is not None:
        conditions.append(StageToolRow.tool_id.in_(tools))
    if since is not None:
        conditions.append(WorkedRow.end_at > since)
    if stages is not None:
        conditions.append(WorkedRow.stage_id.in_(stages))
    return (
        select(
            StageToolRow.tool_id,
            WorkedRow.stage_id,
            WorkedRow.start_at,
            WorkedRow.end_at,
            WorkedRow.minutes * StageToolRow.share,
            StageRow.material_id,
        )
        .join(StageToolRow, StageToolRow.stage_id == WorkedRow.stage_id)
        .join(StageRow, StageRow.id == WorkedRow.stage_id)
        .where(*conditions)
        .order_by(WorkedRow.start_at, WorkedRow.stage_id, StageToolRow.tool_id)
    )
