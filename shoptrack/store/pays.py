"""Jobs that are closed and paid for, with what each brought, took and cost; and what the log says of them."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, func, or_, select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Entry
from shoptrack.store.log import log_with_links
from shoptrack.store.tables import (
    CostRow,
    CustomerRow,
    EntryRow,
    ExtraRow,
    JobRow,
    PatternRevisionRow,
    PatternRow,
    StageClampRow,
    StageRow,
    TallyRow,
)
from shoptrack.store.windows import about


@dataclass(frozen=True, slots=True)
class SoldJob:
    """A closed job that had a price; ``pattern`` empty: none. Money in the smallest unit.

    ``earned_cents`` is its price and approved extras, ``spent_cents`` what was spent beside the hours, mends
    included. ``hands_min`` are all its minutes of hands: redone and mended ones too.
    """

    id: int
    tag: str
    title: str
    customer_id: int
    customer: str
    pattern_id: int | None
    pattern: str
    closed_at: datetime
    earned_cents: int
    spent_cents: int
    hands_min: float


@dataclass(frozen=True, slots=True)
class Ran:
    """Minutes that a station ran for a job, with when the stage was finished."""

    job: int
    station: int
    finished_at: datetime
    machine_min: float


def sold_jobs(session: Session, most: int) -> list[SoldJob]:
    """The newest closed jobs with a price that were not called off, oldest first. Empty: none."""
    chosen = (
        select(
            JobRow.id,
            JobRow.tag,
            JobRow.title,
            JobRow.customer_id,
            CustomerRow.name.label("customer"),
            PatternRow.id.label("pattern_id"),
            func.coalesce(PatternRow.name, "").label("pattern"),
            JobRow.closed_at,
            JobRow.price_cents,
        )
        .join(CustomerRow, CustomerRow.id == JobRow.customer_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .outerjoin(PatternRow, PatternRow.id == PatternRevisionRow.pattern_id)
        .where(JobRow.closed_at.is_not(None), JobRow.called_off_why.is_(None), JobRow.price_cents > 0)
        .order_by(JobRow.closed_at.desc(), JobRow.id.desc())
        .limit(most)
    )
    rows: Sequence[Any] = session.execute(chosen).all()
    ids = [row.id for row in rows]
    extras = _sums(session, ExtraRow.job_id, ExtraRow.cents, ids, ExtraRow.approved_on.is_not(None))
    spent = _sums(session, CostRow.job_id, CostRow.cents, ids, CostRow.retired_at.is_(None))
    minutes, mends = _hands(session, ids)
    return [
        SoldJob(
            row.id,
            row.tag,
            row.title,
            row.customer_id,
            row.customer,
            row.pattern_id,
            row.pattern,
            row.closed_at,
            earned_cents=row.price_cents + extras.get(row.id, 0),
            spent_cents=spent.get(row.id, 0) + mends.get(row.id, 0),
            hands_min=minutes.get(row.id, 0.0),
        )
        for row in reversed(rows)
    ]


def _sums(
    session: Session, job: Any, cents: Any, ids: Collection[int], counts: ColumnElement[bool]
) -> dict[int, int]:
    chosen = select(job, func.sum(cents)).where(job.in_(ids), counts).group_by(job)
    return {row[0]: int(row[1]) for row in session.execute(chosen)}


def _hands(session: Session, ids: Collection[int]) -> tuple[dict[int, float], dict[int, int]]:
    """Minutes of hands by job, and what mending cost beside them."""
    chosen = (
        select(
            StageRow.job_id,
            func.sum(TallyRow.attended_min + TallyRow.mend_min),
            func.sum(TallyRow.mend_cents),
        )
        .join(StageRow, StageRow.id == TallyRow.stage_id)
        .where(StageRow.job_id.in_(ids))
        .group_by(StageRow.job_id)
    )
    rows = session.execute(chosen).all()
    return {row[0]: float(row[1]) for row in rows}, {row[0]: int(row[2]) for row in rows}


def runs_of(session: Session, jobs: Collection[int]) -> list[Ran]:
    """What stations ran for these jobs."""
    chosen = (
        select(StageRow.job_id, StageRow.station_id, TallyRow.finished_at, TallyRow.machine_min)
        .join(StageRow, StageRow.id == TallyRow.stage_id)
        .where(StageRow.job_id.in_(jobs), TallyRow.machine_min > 0)
        .where(StageRow.station_id.is_not(None), TallyRow.finished_at.is_not(None))
    )
    rows: Sequence[Any] = session.execute(chosen).all()
    return [Ran(*row) for row in rows]


def clamped_stages(session: Session, jobs: Collection[int]) -> frozenset[int]:
    """All stages of those of the jobs that hold clamps anywhere."""
    return frozenset(session.scalars(select(StageRow.id).where(StageRow.job_id.in_(_clamped(jobs)))))


def log_of_clamps(session: Session, jobs: Collection[int]) -> list[Entry]:
    """What was tapped on those of the jobs that hold clamps anywhere, as it came."""
    ids = _clamped(jobs)
    return log_with_links(session, about(StageRow.job_id.in_(ids), EntryRow.job_id.in_(ids)))


def _clamped(jobs: Collection[int]) -> Select[Any]:
    return (
        select(StageRow.job_id)
        .join(StageClampRow, StageClampRow.stage_id == StageRow.id)
        .where(StageRow.job_id.in_(jobs))
        .distinct()
    )


@dataclass(frozen=True, slots=True)
class StageTook:
    """What one stage of a job took, redone and mended minutes in it; nought where nobody began it."""

    job: int
    position: int
    kind: int
    name: str
    hands_min: float
    machine_min: float


def stages_took(session: Session, jobs: Collection[int]) -> list[StageTook]:
    """The stages of some jobs with what each took, in the order of the job; one taken out if it took any."""
    hands, machine = func.total(TallyRow.attended_min + TallyRow.mend_min), func.total(TallyRow.machine_min)
    chosen = (
        select(StageRow.job_id, StageRow.position, StageRow.kind_id, StageRow.name, hands, machine)
        .outerjoin(TallyRow, TallyRow.stage_id == StageRow.id)
        .where(StageRow.job_id.in_(jobs))
        .group_by(StageRow.id)
        .having(or_(StageRow.removed_at.is_(None), hands > 0, machine > 0))
        .order_by(StageRow.job_id, StageRow.position)
    )
    return [StageTook(*row) for row in session.execute(chosen)]


def spent_on(session: Session, jobs: Collection[int]) -> dict[int, int]:
    """What was spent on each of the jobs beside the hours, in cents, mends too; one without is not in it."""
    spent = _sums(session, CostRow.job_id, CostRow.cents, jobs, CostRow.retired_at.is_(None))
    _, mends = _hands(session, jobs)
    return {job: spent.get(job, 0) + mends.get(job, 0) for job in {*spent, *filter(mends.get, mends)}}


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """A closed job as a quote is held against it: price and approved extras in cents."""

    id: int
    tag: str
    title: str
    closed_at: datetime
    price_cents: int | None
    extras_cents: int


def closed_among(session: Session, jobs: Collection[int]) -> list[ClosedJob]:
    """Those of the jobs that are closed and were not called off, the last closed last."""
    chosen = (
        select(JobRow.id, JobRow.tag, JobRow.title, JobRow.closed_at, JobRow.price_cents)
        .where(JobRow.id.in_(jobs), JobRow.closed_at.is_not(None), JobRow.called_off_why.is_(None))
        .order_by(JobRow.closed_at, JobRow.id)
    )
    extras = _sums(session, ExtraRow.job_id, ExtraRow.cents, jobs, ExtraRow.approved_on.is_not(None))
    rows: Sequence[Any] = session.execute(chosen).all()
    return [
        ClosedJob(row.id, row.tag, row.title, row.closed_at, row.price_cents, extras.get(row.id, 0))
        for row in rows
    ]
