"""Orders that are done, and times from before the log → the minutes that went into each kind of stage."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.store.tables import JobRow, PastTimeRow, PatternRevisionRow, StageKindRow, StageRow, TallyRow


@dataclass(frozen=True, slots=True)
class SpentOnKind:
    """What went into one kind: minutes of hands and of machines, and of how many orders."""

    kind: int
    name: str
    hands_min: float
    machine_min: float
    orders: int


def spent_in_log(session: Session, since: datetime | None, pattern: int | None) -> Sequence[SpentOnKind]:
    """The minutes of orders closed since an instant (None: ever), of one pattern or of all, by kind.

    All minutes count, done again and mended ones too; orders that were called off don't.
    """
    chosen = (
        select(
            StageKindRow.id,
            StageKindRow.name,
            func.total(TallyRow.attended_min),
            func.total(TallyRow.machine_min),
            func.count(JobRow.id.distinct()),
        )
        .join(StageRow, StageRow.kind_id == StageKindRow.id)
        .join(TallyRow, TallyRow.stage_id == StageRow.id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .where(TallyRow.attended_min + TallyRow.machine_min > 0, *_done(since, pattern))
        .group_by(StageKindRow.id, StageKindRow.name)
        .order_by(StageKindRow.position, StageKindRow.id)
    )
    return [SpentOnKind(*row) for row in session.execute(chosen)]


def orders_in_log(session: Session, since: datetime | None, pattern: int | None) -> int:
    """How many orders those are: each with minutes on it."""
    chosen = (
        select(func.count(JobRow.id.distinct()))
        .join(StageRow, StageRow.job_id == JobRow.id)
        .join(TallyRow, TallyRow.stage_id == StageRow.id)
        .where(TallyRow.attended_min + TallyRow.machine_min > 0, *_done(since, pattern))
    )
    return session.scalar(chosen) or 0


def spent_before(session: Session, since: date | None, pattern: int | None) -> Sequence[SpentOnKind]:
    """The same of times from before the log that were finished since a day; an order is told by its name."""
    past = PastTimeRow
    chosen = (
        select(StageKindRow.id, StageKindRow.name, func.total(past.minutes), func.count(past.job.distinct()))
        .join(StageKindRow, StageKindRow.id == past.kind_id)
        .where(*_before(since, pattern))
        .group_by(StageKindRow.id, StageKindRow.name)
        .order_by(StageKindRow.position, StageKindRow.id)
    )
    return [SpentOnKind(id, name, minutes, 0.0, n) for id, name, minutes, n in session.execute(chosen)]


def orders_before(session: Session, since: date | None, pattern: int | None) -> int:
    """How many orders those are."""
    chosen = select(func.count(PastTimeRow.job.distinct())).where(*_before(since, pattern))
    return session.scalar(chosen) or 0


def _done(since: datetime | None, pattern: int | None) -> list[Any]:
    found: list[Any] = [JobRow.closed_at.is_not(None), JobRow.called_off_why.is_(None)]
    if since is not None:
        found.append(JobRow.closed_at >= since)
    if pattern is not None:
        revisions = select(PatternRevisionRow.id).where(PatternRevisionRow.pattern_id == pattern)
        found.append(JobRow.pattern_revision_id.in_(revisions))
    return found


def _before(since: date | None, pattern: int | None) -> list[Any]:
    found: list[Any] = [] if since is None else [PastTimeRow.finished_on >= since]
    return found if pattern is None else [*found, PastTimeRow.pattern_id == pattern]
