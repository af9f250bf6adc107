"""What a job waits for from outside: written down, looked for on another day, come, struck out."""

from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import edit, note_change, note_made
from shoptrack.store.jobs import job_row
from shoptrack.store.tables import AwaitedRow, StageRow

USUAL = ("deposit", "drawing approved", "lumber", "sharpener")
"""What is offered; any other words do too."""


def awaited_of(session: Session, job_id: int) -> list[AwaitedRow]:
    """All that a job waits for or waited for, as it was written down. Empty: nothing."""
    own = select(AwaitedRow).where(AwaitedRow.job_id == job_id)
    return list(session.scalars(own.order_by(AwaitedRow.id)))


def newest_awaited(session: Session, job_id: int) -> int:
    """The number of what was written down last for a job; 0 where there is nothing."""
    return session.scalar(select(func.max(AwaitedRow.id)).where(AwaitedRow.job_id == job_id)) or 0


def add_awaited(
    session: Session,
    job_id: int,
    *,
    what: str,
    stage: int | None,
    expected_on: date | None,
    after: int,
    who: int | None,
    now: datetime,
) -> AwaitedRow:
    """Write down that a job, or one stage of it, waits for something until a day, None: nobody knows when.

    ``after`` is the number of the newest one when the form was shown: the same form sent again finds the one
    it made. Raises NotFound, or BadInput for a job that is closed or a stage that is not in it.
    """
    job = job_row(session, job_id)
    if job.closed_at is not None:
        raise BadInput("The job is closed: it waits for nothing.", "what")
    _refuse_other(session, job_id, stage)
    since = select(AwaitedRow).where(AwaitedRow.id > after)
    same = since.filter_by(job_id=job_id, what=what, stage_id=stage, expected_on=expected_on)
    if (again := session.scalars(same.limit(1)).first()) is not None:
        return again
    row = AwaitedRow(
        job_id=job_id,
        stage_id=stage,
        what=what,
        agreed_on=expected_on,
        expected_on=expected_on,
        added_at=now,
        person_id=who,
    )
    session.add(row)
    note_made(session, row, who, now)
    return row


def _refuse_other(session: Session, job_id: int, stage: int | None) -> None:
    row = session.get(StageRow, stage) if stage is not None else None
    if stage is not None and (row is None or row.job_id != job_id or row.removed_at is not None):
        raise BadInput("That is no stage of this job.", "stage")


def awaited_row(session: Session, job_id: int, awaited: int) -> AwaitedRow:
    """One thing that a job waits for. Raises NotFound."""
    row = session.get(AwaitedRow, awaited)
    if row is None or row.job_id != job_id:
        raise NotFound("This job waits for no such thing.")
    return row


def expect_on(
    session: Session, job_id: int, awaited: int, on: date | None, who: int | None, now: datetime
) -> None:
    """Say on which day it is looked for now, None: nobody knows. Raises NotFound.

    The first day that is said is the one that was agreed, and stays.
    """
    row = awaited_row(session, job_id, awaited)
    agreed_on = row.agreed_on if row.agreed_on is not None else on
    edit(session, row, who, now, expected_on=on, agreed_on=agreed_on)


def say_came(
    session: Session, job_id: int, awaited: int, on: date | None, who: int | None, now: datetime
) -> None:
    """Say on which day it came; None: it has not come after all. Raises NotFound."""
    edit(session, awaited_row(session, job_id, awaited), who, now, came_on=on)


def strike(session: Session, job_id: int, awaited: int, who: int | None, now: datetime) -> None:
    """The job does not wait for it after all; its line of history says what it was.

    Struck again it changes nothing. Raises NotFound for what another job waits for.
    """
    if session.get(AwaitedRow, awaited) is None:
        return
    row = awaited_row(session, job_id, awaited)
    words = f"{job_row(session, job_id).tag} {row.what}"
    note_change(session, row, who, now, "taken back", words, None)
    session.delete(row)
    session.flush()
