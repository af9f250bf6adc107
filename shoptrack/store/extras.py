"""Extras of a job: what the customer asked for after it was approved, numbered, with the answer."""

from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import ExtraRow


def extras_of(session: Session, job_id: int) -> list[ExtraRow]:
    """The extras of a job by their numbers. Empty: nothing was asked for beside the order."""
    own = select(ExtraRow).where(ExtraRow.job_id == job_id)
    return list(session.scalars(own.order_by(ExtraRow.number)))


def extra_row(session: Session, job_id: int, number: int) -> ExtraRow:
    """One extra of a job. Raises NotFound."""
    row = session.scalars(select(ExtraRow).filter_by(job_id=job_id, number=number)).first()
    if row is None:
        raise NotFound("There is no such extra on this job.")
    return row


def approved_cents(session: Session, job_id: int) -> int:
    """What the approved extras of a job add to its price."""
    total = select(func.sum(ExtraRow.cents)).where(
        ExtraRow.job_id == job_id, ExtraRow.approved_on.is_not(None)
    )
    return session.scalar(total) or 0


def add_extra(
    session: Session,
    job_id: int,
    *,
    number: int,
    words: str,
    cents: int,
    asked_on: date,
    who: int | None,
    now: datetime,
) -> ExtraRow:
    """Write an extra down under the number that the form showed, else under the next that is free.

    The same words under that number or a later one are the same form sent again: they make no second extra.
    """
    rows = extras_of(session, job_id)
    said = (words, cents, asked_on)
    again = next((r for r in rows if r.number >= number and (r.words, r.cents, r.asked_on) == said), None)
    if again is not None:
        return again
    free = max((r.number for r in rows), default=0) + 1
    row = ExtraRow(job_id=job_id, number=free, words=words, cents=cents, asked_on=asked_on)
    session.add(row)
    note_made(session, row, who, now)
    return row


def approve(
    session: Session, job_id: int, number: int, on: date, how: str, who: int | None, now: datetime
) -> None:
    """The customer said yes: from now on the extra is part of the price. Raises NotFound."""
    row = extra_row(session, job_id, number)
    edit(session, row, who, now, approved_on=on, approved_how=how, turned_down_on=None)


def turn_down(session: Session, job_id: int, number: int, on: date, who: int | None, now: datetime) -> None:
    """The customer said no. Raises NotFound."""
    row = extra_row(session, job_id, number)
    edit(session, row, who, now, approved_on=None, approved_how="", turned_down_on=on)


def take_answer_back(session: Session, job_id: int, number: int, who: int | None, now: datetime) -> None:
    """It was no answer yet: the extra is asked again. Raises NotFound."""
    row = extra_row(session, job_id, number)
    edit(session, row, who, now, approved_on=None, approved_how="", turned_down_on=None)
