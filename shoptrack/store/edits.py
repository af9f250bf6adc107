"""A change to a row of the shop's description leaves a line of history: who, when, what it was."""

from datetime import date, datetime, time
from typing import Any

from sqlalchemy import inspect, select
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.tables import EditRow


def edit(
    session: Session, row: Base, who: int | None, now: datetime, *, why: str = "", **changes: object
) -> None:
    """Set fields of a row, with a line of history for each that really changes.

    Takes the row, the person's id where one is known, now, the reason where one was given, and the new value
    of each field. Raises AttributeError for a field that the table does not have.
    """
    columns = inspect(type(row)).column_attrs
    session.flush()
    for field, after in changes.items():
        if field not in columns:
            raise AttributeError(f"{type(row).__name__} has no column {field}")
        before = getattr(row, field)
        if before != after:
            setattr(row, field, after)
            session.add(_line(row, who, now, field, before, after, why))


def note_made(session: Session, row: Base, who: int | None, now: datetime, why: str = "") -> None:
    """Leave a line of history that a row was made: by whom and when."""
    session.flush()
    session.add(_line(row, who, now, "made", None, True, why))


def note_change(
    session: Session,
    row: Base,
    who: int | None,
    now: datetime,
    field: str,
    before: object,
    after: object,
    *,
    why: str = "",
) -> None:
    """Leave a line of history that no column of the row tells by itself, such as a value that counts later.

    Takes what was said before and what is said now, each anything that JSON can hold, or a date or time.
    """
    session.flush()
    session.add(_line(row, who, now, field, before, after, why))


def history(session: Session, table: str, row_id: int) -> list[EditRow]:
    """What was changed in one row of a table, oldest first."""
    chosen = select(EditRow).where(EditRow.table_name == table, EditRow.row_id == row_id)
    return list(session.scalars(chosen.order_by(EditRow.at, EditRow.id)))


def _line(
    row: Any, who: int | None, now: datetime, field: str, before: object, after: object, why: str
) -> EditRow:
    return EditRow(
        at=now,
        person_id=who,
        table_name=row.__tablename__,
        row_id=row.id,
        field=field,
        before=_plain(before),
        after=_plain(after),
        why=why or None,
    )


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, (datetime, date, time)) else value
