"""A value that counts from an instant or a day on → the one row that says so, with its line of history."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.edits import edit, note_change


def say_from(
    session: Session,
    table: type[Base],
    owner: Mapping[str, object],
    moment: datetime | date,
    who: int | None,
    now: datetime,
    **values: Any,
) -> bool:
    """Say values of an owner from a moment on; what was said for the time before stays.

    Takes the columns that name the owner, an instant or a day, and the values. Said again they change
    nothing; said for the very moment of an earlier row they replace it; either way what is said here is
    no starting value any more. Gives whether anything changed.
    """
    rows = said_of(session, table, owner)
    name = _moment_of(table)
    before = [row for row in rows if getattr(row, name) <= moment]
    held = before[-1] if before else None
    was = {field: getattr(held, field) for field in values} if held is not None else {}
    if was == values:
        return False
    if held is not None and getattr(held, name) == moment:
        own: dict[str, Any] = {"starting": False} if "starting" in table.__table__.columns else {}
        edit(session, held, who, now, **values, **own)
        return True
    row = table(**owner, **{name: moment}, **values)
    session.add(row)
    for field, after in values.items():
        said = was.get(field)
        if said != after and (said is not None or after != ""):
            note_change(session, row, who, now, field, said, after)
    session.flush()
    return True


def said_of(session: Session, table: type[Base], owner: Mapping[str, object]) -> Sequence[Base]:
    """All that was ever said of an owner in a table of dated values, oldest first."""
    columns = table.__table__.columns
    chosen = select(table).where(*(columns[field].is_not_distinct_from(id_) for field, id_ in owner.items()))
    return session.scalars(chosen.order_by(columns[_moment_of(table)])).all()


def _moment_of(table: type[Base]) -> str:
    return "from_at" if "from_at" in table.__table__.columns else "from_on"
