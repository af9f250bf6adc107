"""A tag pencilled on a part to the job that it means."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.tables import JobRow


def job_tagged(session: Session, tag: str) -> int:
    """The newest open job with a tag, else the newest closed one; small letters mean the same.

    Raises NotFound where no job ever had it.
    """
    named = select(JobRow.id).where(JobRow.tag.in_({tag, tag.upper()}))
    newest = named.order_by(JobRow.closed_at.is_not(None), JobRow.added_at.desc(), JobRow.id.desc())
    found = session.scalar(newest.limit(1))
    if found is None:
        raise NotFound(f"No job has the tag {tag[:12]}.")
    return found
