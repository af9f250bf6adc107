"""A date that is promised → the chance that was shown for it then; later, whether it was kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.jobs import job_row
from shoptrack.store.shop import shop_zone
from shoptrack.store.tables import JobRow, PromisedDateRow


@dataclass(frozen=True, slots=True)
class DateHeld:
    """A date that was promised for a job, the chance (0 to 1) that was shown for it, and the day it was done.

    ``chance`` None: none was shown. ``done_on`` None: it is not done yet.
    """

    job: int
    promised_on: date
    chance: float | None
    done_on: date | None

    @property
    def kept(self) -> bool | None:
        """Whether it was done by that date; None while it is not done."""
        return None if self.done_on is None else self.done_on <= self.promised_on


def say(session: Session, job: int, on: date, chance: float | None, at: datetime, how: str = "") -> bool:
    """Keep what was shown when a date was promised; what was kept first for a job and a date stays.

    Takes the chance that it is kept, 0 to 1 (None: none was shown), and what that rested on. Gives whether
    anything was kept. Raises NotFound, or BadInput for what is no chance.
    """
    if chance is not None and not 0 <= chance <= 1:
        raise BadInput("A chance lies between 0 and 1.", "chance")
    job_row(session, job)
    known = select(PromisedDateRow.id).where(PromisedDateRow.job_id == job, PromisedDateRow.promised_on == on)
    if session.scalar(known) is not None:
        return False
    session.add(PromisedDateRow(job_id=job, promised_on=on, said_at=at, chance=chance, how=how))
    session.flush()
    return True


def not_said(session: Session, dates: Mapping[int, date]) -> dict[int, date]:
    """Of promised dates by job those for which nothing was kept yet."""
    known = session.execute(
        select(PromisedDateRow.job_id, PromisedDateRow.promised_on).where(PromisedDateRow.job_id.in_(dates))
    )
    there = {(job, on) for job, on in known}
    return {job: on for job, on in dates.items() if (job, on) not in there}


def kept_and_missed(session: Session) -> tuple[DateHeld, ...]:
    """Every date that was promised, by when it was, with the day its job was delivered, else closed.

    A job that was called off tells nothing and is not among them. Empty: no date was promised yet.
    """
    zone = shop_zone(session)
    rows = session.execute(
        select(PromisedDateRow, JobRow.delivered_on, JobRow.closed_at)
        .join(JobRow, JobRow.id == PromisedDateRow.job_id)
        .where(JobRow.called_off_why.is_(None))
        .order_by(PromisedDateRow.said_at, PromisedDateRow.id)
    )
    return tuple(
        DateHeld(row.job_id, row.promised_on, row.chance, delivered or _day(closed, zone))
        for row, delivered, closed in rows
    )


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return None if at is None else at.astimezone(zone).date()
