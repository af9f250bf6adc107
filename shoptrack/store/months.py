"""Closed months with their figures, and the rows that a month's figures are reckoned from."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select, union
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Entry
from shoptrack.store.log import log_with_links
from shoptrack.store.tables import (
    CostRow,
    DayOffRow,
    EditRow,
    EntryRow,
    EntryStageRow,
    ExtraRow,
    JobRow,
    MonthRow,
    OvertimeRow,
    PersonRow,
    RateRow,
    RuleRow,
    ShopRow,
    StageRow,
    WeekRow,
)
from shoptrack.store.windows import about


@dataclass(frozen=True, slots=True)
class Sold:
    """What months ask of a job: when it was closed and delivered, and the money that it brought."""

    job: int
    closed_at: datetime | None
    called_off: bool
    delivered_on: date | None
    price_cents: int
    deposit_cents: int
    deposit_on: date | None


@dataclass(frozen=True, slots=True)
class Late:
    """An entry that came after some other: the instant it counts at, where it moves one to, what it is of."""

    at: datetime
    to_at: datetime | None
    of: str | None


def closed_months(session: Session) -> Sequence[MonthRow]:
    """The months that were closed, oldest first."""
    return session.scalars(select(MonthRow).order_by(MonthRow.first_on)).all()


def add_month(session: Session, first_on: date, figures: Any, who: int | None, now: datetime) -> MonthRow:
    """Keep a month's figures for good."""
    row = MonthRow(first_on=first_on, closed_at=now, person_id=who, figures=figures)
    session.add(row)
    session.flush()
    return row


def first_instant(session: Session) -> datetime | None:
    """When the shop's first job was added or its first tap made; None while there is neither."""
    found = [session.scalar(select(func.min(c))) for c in (EntryRow.at, JobRow.added_at)]
    return min((at for at in found if at is not None), default=None)


def newest_entry(session: Session) -> int:
    """The place of the newest entry in the log; 0 while there is none."""
    return session.scalar(select(func.max(EntryRow.n))) or 0


def entries_since(session: Session, n: int) -> list[Late]:
    """The entries that came after a place in the log."""
    return _late(session, EntryRow.n > n)


def entries_named(session: Session, ids: Collection[str]) -> list[Late]:
    """The entries with these ids."""
    return _late(session, EntryRow.id.in_(ids)) if ids else []


def _late(session: Session, which: ColumnElement[bool]) -> list[Late]:
    columns = (EntryRow.at, EntryRow.of_id, EntryRow.kind, EntryRow.body)
    rows = session.execute(select(*columns).where(which))
    return [Late(row.at, _to_at(row.body) if row.kind == "retime" else None, row.of_id) for row in rows]


def _to_at(body: Any) -> datetime | None:
    return datetime.fromisoformat(body["to_at"]) if "to_at" in body else None


def jobs_worked(session: Session, first_at: datetime, until_at: datetime) -> frozenset[int]:
    """The jobs that people worked on in a stretch: those its entries speak of, by their stages or as a whole,
    and those somebody had begun last before it, and may have gone on with.
    """
    within, begun = EntryRow.at.between(first_at, until_at), EntryRow.n.in_(_last_starts(session, first_at))
    by_stage = (
        select(StageRow.job_id)
        .join(EntryStageRow, EntryStageRow.stage_id == StageRow.id)
        .join(EntryRow, EntryRow.n == EntryStageRow.entry_n)
    )
    whole = select(EntryRow.job_id).where(within, EntryRow.job_id.is_not(None))
    found = session.scalars(union(by_stage.where(within), by_stage.where(begun), whole))
    return frozenset(job for job in found if job is not None)


def log_of_stretch(
    session: Session, jobs: Collection[int], first_at: datetime, until_at: datetime
) -> list[Entry]:
    """Every entry that the minutes of a stretch rest on, as they came.

    All of the stretch and those moved into it; all about the ``jobs`` worked on in it, from their first; and
    of each person what they did from their last start before it on, so that nothing begun earlier seems to
    go on into it.
    """
    these = (EntryRow.n, EntryRow.id, EntryRow.of_id)
    own = about(StageRow.job_id.in_(jobs), EntryRow.job_id.in_(jobs)).subquery()
    chosen = [*_last_starts(session, first_at, and_since=True), *_moved_into(session, first_at, until_at)]
    return log_with_links(
        session,
        union(
            select(*these).where(EntryRow.at.between(first_at, until_at)),
            select(own.c.n, own.c.id, own.c.of_id),
            select(*these).where(EntryRow.n.in_(chosen)),
        ),
    )


def _last_starts(session: Session, before: datetime, and_since: bool = False) -> list[int]:
    """The places in the log of each person's last start before an instant; and of what they did since."""
    places: list[int] = []
    for person in session.scalars(select(PersonRow.id)):
        own = select(EntryRow.n, EntryRow.at).where(EntryRow.person_id == person, EntryRow.at < before)
        starts = own.where(EntryRow.kind == "start").order_by(EntryRow.at.desc())
        last = session.execute(starts.limit(1)).first()
        if last is not None:
            since = own.where(EntryRow.at >= last.at) if and_since else None
            places += [last.n] if since is None else [row.n for row in session.execute(since)]
    return places


def _moved_into(session: Session, first_at: datetime, until_at: datetime) -> list[int]:
    """The places of the entries that move others into a stretch; none moves one to what is yet to come."""
    moves = select(EntryRow.n, EntryRow.body).where(EntryRow.kind == "retime", EntryRow.at >= first_at)
    rows = [(row.n, _to_at(row.body)) for row in session.execute(moves)]
    return [n for n, to_at in rows if to_at is not None and first_at <= to_at < until_at]


def hours_changed_from(session: Session, since: datetime) -> date | None:
    """The earliest day whose minutes or their cost may have changed by what was said since an instant.

    Working hours, days off (also those taken back), rates, rules of thumb, by which minutes of stages done
    together are shared, and the zone, which moves every day. Empty: None where nothing of it was said.
    """
    days = [*_days_said(session, since), *_days_taken_back(session, since)]
    moved = select(EditRow.id).where(EditRow.table_name == ShopRow.__tablename__, EditRow.field == "zone")
    if session.scalar(moved.where(EditRow.at > since).limit(1)) is not None:
        return date.min
    return min(days, default=None)


def _days_said(session: Session, since: datetime) -> Iterator[date]:
    for row, day in (
        (WeekRow, WeekRow.from_on),
        (DayOffRow, DayOffRow.first_on),
        (OvertimeRow, OvertimeRow.on_date),
        (RateRow, RateRow.from_on),
        (RuleRow, RuleRow.from_at),
    ):
        about = and_(EditRow.table_name == row.__tablename__, EditRow.row_id == row.id)
        first = session.scalar(select(func.min(day)).join(EditRow, about).where(EditRow.at > since))
        if first is not None:
            yield first.date() if isinstance(first, datetime) else first


def _days_taken_back(session: Session, since: datetime) -> Iterator[date]:
    """The first days of days off and overtime that are no row any more: their line of history begins so."""
    tables = (DayOffRow.__tablename__, OvertimeRow.__tablename__)
    taken = select(EditRow.before).where(EditRow.table_name.in_(tables))
    for words in session.scalars(taken.where(EditRow.field == "taken back", EditRow.at > since)):
        yield date.fromisoformat(str(words)[:10])


def jobs_sold(session: Session) -> list[Sold]:
    """The jobs that were closed, delivered or paid a deposit for; approved extras are in the price."""
    extras = (
        select(ExtraRow.job_id, func.sum(ExtraRow.cents).label("cents"))
        .where(ExtraRow.approved_on.is_not(None))
        .group_by(ExtraRow.job_id)
        .subquery()
    )
    wanted = or_(JobRow.closed_at.is_not(None), JobRow.delivered_on.is_not(None), JobRow.deposit_cents > 0)
    rows = session.execute(
        select(
            JobRow.id,
            JobRow.closed_at,
            JobRow.called_off_why.is_not(None),
            JobRow.delivered_on,
            func.coalesce(JobRow.price_cents, 0) + func.coalesce(extras.c.cents, 0),
            func.coalesce(JobRow.deposit_cents, 0),
            JobRow.deposit_on,
        )
        .outerjoin(extras, extras.c.job_id == JobRow.id)
        .where(wanted)
    )
    return [Sold(*row) for row in rows]


def spent_by_day(session: Session) -> list[tuple[date, str, int]]:
    """What was spent beside hours, by day and kind, in cents."""
    rows = session.execute(
        select(CostRow.spent_on, CostRow.kind, func.sum(CostRow.cents))
        .where(CostRow.retired_at.is_(None))
        .group_by(CostRow.spent_on, CostRow.kind)
    )
    return [(on, kind, cents) for on, kind, cents in rows]


def deposits_owed(session: Session) -> Sequence[JobRow]:
    """The jobs whose deposit is still owed because they are not delivered, the oldest deposit first."""
    owed = select(JobRow).where(JobRow.deposit_cents > 0, JobRow.delivered_on.is_(None))
    return session.scalars(owed.order_by(JobRow.deposit_on, JobRow.id)).all()
