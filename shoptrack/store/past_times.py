"""Times of stages, logged or from before the log: listed with their names, and those from a file added."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from operator import attrgetter
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session, aliased

from shoptrack.store.shop import shop_zone
from shoptrack.store.tables import (
    EntryRow,
    EntryStageRow,
    JobRow,
    PastTimeRow,
    PatternRevisionRow,
    PatternRow,
    PersonRow,
    StageKindRow,
    StageRow,
    TallyRow,
)

_AT_ONCE = 1000
_PAST = PastTimeRow.metadata.tables["past_times"]  # without the mapper: there are ten thousands of them


@dataclass(frozen=True, slots=True)
class StageTime:
    """What one stage of one job took, with names: minutes of hands (or of the machine), measure, who."""

    finished_on: date
    job: str
    pattern: str
    stage: str
    kind_id: int
    kind: str
    quantity: float
    unit: str
    minutes: float
    person: str


@dataclass(frozen=True, slots=True)
class PastTime:
    """A time from before the log, as it is written down; its fields are the table's columns."""

    finished_on: date
    job: str
    pattern: str
    pattern_id: int | None
    stage: str
    kind_id: int
    quantity: float
    minutes: float
    person: str
    person_id: int | None
    row_key: str


_FIELDS = tuple(field.name for field in fields(PastTime))
_values = attrgetter(*_FIELDS)


def logged_times(session: Session) -> Iterator[StageTime]:
    """The times of finished stages that teach, in the order they were finished."""
    zone = shop_zone(session)
    rows = session.execute(_finished().execution_options(yield_per=_AT_ONCE))
    for part in rows.partitions(_AT_ONCE):
        who = starters(session, [row.stage_id for row in part])
        for row in part:
            on, person = row.finished_at.astimezone(zone).date(), ", ".join(who.get(row.stage_id, ()))
            yield StageTime(*(on, *row[2:], person))


def _finished() -> Any:
    tally = TallyRow
    return (
        select(
            tally.stage_id,
            tally.finished_at,
            JobRow.title,
            func.coalesce(PatternRow.name, ""),
            StageRow.name,
            StageKindRow.id,
            StageKindRow.name,
            tally.quantity,
            StageKindRow.unit,
            tally.attended_min,
        )
        .join(StageRow, StageRow.id == tally.stage_id)
        .join(StageKindRow, StageKindRow.id == StageRow.kind_id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .outerjoin(PatternRow, PatternRow.id == PatternRevisionRow.pattern_id)
        .where(tally.finished_at.is_not(None), tally.teaches, tally.attended_min > 0, tally.quantity > 0)
        .order_by(tally.finished_at, tally.stage_id, tally.redo)
    )


def starters(session: Session, stages: Collection[int]) -> dict[int, list[str]]:
    """The names of those who started each stage, without starts that were struck, the first first."""
    strike = aliased(EntryRow)
    struck = select(strike.of_id).where(strike.kind == "strike", strike.of_id == EntryRow.id).exists()
    chosen = (
        select(EntryStageRow.stage_id, PersonRow.name)
        .join(EntryRow, EntryRow.n == EntryStageRow.entry_n)
        .join(PersonRow, PersonRow.id == EntryRow.person_id)
        .where(EntryStageRow.stage_id.in_(stages), EntryRow.kind == "start", ~struck)
        .order_by(EntryRow.at, EntryRow.n)
    )
    found: dict[int, list[str]] = {}
    for stage, name in session.execute(chosen):
        names = found.setdefault(stage, [])
        if name not in names:
            names.append(name)
    return found


def past_times(session: Session) -> Iterator[StageTime]:
    """The times from before the log, in the order they were finished."""
    chosen = (
        select(
            _PAST.c.finished_on,
            _PAST.c.job,
            _PAST.c.pattern,
            _PAST.c.stage,
            _PAST.c.kind_id,
            StageKindRow.name,
            _PAST.c.quantity,
            StageKindRow.unit,
            _PAST.c.minutes,
            _PAST.c.person,
        )
        .join(StageKindRow, StageKindRow.id == _PAST.c.kind_id)
        .order_by(_PAST.c.finished_on, _PAST.c.id)
    )
    for row in session.execute(chosen.execution_options(yield_per=_AT_ONCE)):
        yield StageTime(*row)


def past_keys(session: Session) -> set[str]:
    """The keys of all times from before the log."""
    return set(session.scalars(select(_PAST.c.row_key)))


def count_past_times(session: Session) -> int:
    """How many times from before the log there are."""
    return session.scalar(select(func.count()).select_from(_PAST)) or 0


def add_past_times(session: Session, times: Sequence[PastTime], now: datetime) -> None:
    """Write times from before the log down. Raises IntegrityError where one is there already."""
    if times:
        rows = [dict(zip(_FIELDS, _values(time), strict=True)) for time in times]
        session.execute(insert(_PAST).values(imported_at=now), rows)


@dataclass(frozen=True, slots=True)
class Names:
    """What names in a file can mean: kinds of stage with their units, people and patterns, by name."""

    kinds: dict[str, tuple[int, str]]
    kinds_in_use: tuple[str, ...]
    people: dict[str, int]
    patterns: dict[str, int]


def known_names(session: Session) -> Names:
    """The names of the shop; of several alike the one in use counts."""
    kinds = session.execute(
        select(StageKindRow.name, StageKindRow.id, StageKindRow.unit, StageKindRow.retired_at).order_by(
            StageKindRow.retired_at.is_(None), StageKindRow.position.desc(), StageKindRow.id.desc()
        )
    ).all()
    return Names(
        kinds={name: (id, unit) for name, id, unit, _ in kinds},
        kinds_in_use=tuple(name for name, _, _, retired_at in reversed(kinds) if retired_at is None),
        people=_by_name(session, PersonRow),
        patterns=_by_name(session, PatternRow),
    )


def _by_name(session: Session, table: Any) -> dict[str, int]:
    rows = select(table.name, table.id).order_by(table.retired_at.is_(None), table.id)
    return {name: id for name, id in session.execute(rows)}
