"""Jobs that were promised for a day and are done → the day, and when they were."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.shop import shop_zone
from shoptrack.store.tables import JobRow


@dataclass(frozen=True, slots=True)
class DoneJob:
    """A job's promised date and the day on which it was delivered, else closed."""

    job: int
    promised_on: date
    done_on: date


def done_jobs(session: Session) -> tuple[DoneJob, ...]:
    """Every job that was promised and is closed, the oldest first; what was called off is not among them."""
    zone = shop_zone(session)
    rows = session.execute(
        select(JobRow.id, JobRow.promised_on, JobRow.delivered_on, JobRow.closed_at)
        .where(
            JobRow.promised_on.is_not(None), JobRow.closed_at.is_not(None), JobRow.called_off_why.is_(None)
        )
        .order_by(JobRow.closed_at, JobRow.id)
    )
    return tuple(
        DoneJob(job, promised_on, delivered_on or closed_at.astimezone(zone).date())
        for job, promised_on, delivered_on, closed_at in rows
        if promised_on is not None and closed_at is not None
    )
