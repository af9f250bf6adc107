"""How often orders come: the jobs of the last three months → so many a week."""

from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.store.tables import JobRow

WEEKS = 13


def orders_per_week(session: Session, now: datetime) -> float:
    """The mean number of jobs a week in the last thirteen; those that were called off are not counted.

    Divided by thirteen always, so that a shop which has just begun is not taken for a busy one.
    """
    since = now - timedelta(weeks=WEEKS)
    count = select(func.count()).select_from(JobRow)
    found = session.scalar(
        count.where(JobRow.added_at > since, JobRow.added_at <= now, JobRow.called_off_why.is_(None))
    )
    return (found or 0) / WEEKS
