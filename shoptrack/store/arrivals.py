"""The jobs of the last three months → how orders come, and how often a later one was ready first."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.coming import pace_of
from shoptrack.engine.shapes.promised import Pace
from shoptrack.store.tables import JobRow

WEEKS = 13


def pace_of_orders(session: Session, now: datetime) -> Pace:
    """How orders came in the last thirteen weeks; those that were called off are not counted.

    Divided by thirteen weeks always, so that a shop which has just begun is not taken for a busy one.
    """
    since = now - timedelta(weeks=WEEKS)
    rows = session.execute(
        select(JobRow.added_at, JobRow.closed_at)
        .where(JobRow.added_at > since, JobRow.added_at <= now, JobRow.called_off_why.is_(None))
        .order_by(JobRow.added_at, JobRow.id)
    )
    days = [(_day(came), None if closed is None else _day(closed)) for came, closed in rows]
    return pace_of(days, WEEKS)


def _day(at: datetime) -> int:
    return at.astimezone(UTC).date().toordinal()
