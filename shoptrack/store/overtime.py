"""Hours of one day on top of the week, of a person or of everybody: said, listed, taken back."""

from datetime import date, datetime, time

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.edits import note_change, note_made
from shoptrack.store.tables import OvertimeRow, PersonRow


def overtime_said(session: Session) -> list[OvertimeRow]:
    """All overtime there ever was, the latest day first."""
    order = (OvertimeRow.on_date.desc(), OvertimeRow.opens.desc(), OvertimeRow.id.desc())
    return list(session.scalars(select(OvertimeRow).order_by(*order)))


def say_overtime(
    session: Session,
    *,
    on: date,
    opens: time,
    closes: time,
    person: int | None,
    reason: str,
    who: int | None,
    now: datetime,
) -> bool:
    """Add overtime with its line of history; the very same again adds nothing. Gives whether it did.

    Raises BadInput when it ends before it begins, runs into other overtime of the same person or of
    everybody, or is of somebody who does not work here.
    """
    if opens >= closes:
        raise BadInput("It ends before it begins.", "closes")
    _refuse_stranger(session, person)
    same_day = select(OvertimeRow).where(
        OvertimeRow.on_date == on, OvertimeRow.person_id.is_not_distinct_from(person)
    )
    for other in session.scalars(same_day.order_by(OvertimeRow.opens)):
        if (other.opens, other.closes) == (opens, closes):
            return False
        if other.opens < closes and opens < other.closes:
            raise BadInput("There is overtime in those hours already: take that back first.", "opens")
    row = OvertimeRow(person_id=person, on_date=on, opens=opens, closes=closes, reason=reason)
    session.add(row)
    note_made(session, row, who, now)
    return True


def _refuse_stranger(session: Session, person: int | None) -> None:
    if person is None:
        return
    row = session.get(PersonRow, person)
    if row is None or row.retired_at is not None:
        raise BadInput("There is nobody of that name who works here.", "person")


def take_back(session: Session, overtime: int, who: int | None, now: datetime) -> date | None:
    """Take overtime back; its line of history says which it was.

    Gives its day; None when it has been taken back already.
    """
    row = session.get(OvertimeRow, overtime)
    if row is None:
        return None
    words = f"{row.on_date.isoformat()} {row.opens:%H:%M}–{row.closes:%H:%M} {row.reason}".strip()
    note_change(session, row, who, now, "taken back", words, None)
    session.delete(row)
    session.flush()
    return row.on_date
