"""The usual warmth of a room → twelve rows that count from an instant on, with their lines of history."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import RoomProfile
from shoptrack.errors import BadInput
from shoptrack.store.edits import edit, note_change
from shoptrack.store.shop import set_warmth
from shoptrack.store.tables import RoomTempRow

_FIELDS = ("heated_c", "unheated_c", "heated_from", "heated_until")


def say_warmth(
    session: Session, room: int, usual: RoomProfile, from_at: datetime, who: int | None, now: datetime
) -> bool:
    """Say the usual warmth of a room, all twelve months, from an instant on; gives whether it changed.

    Said for the very instant of an earlier year's rows it replaces them. Raises BadInput unless it has
    twelve months.
    """
    if len(usual.heated_c) != 12 or len(usual.unheated_c) != 12:
        raise BadInput("The usual warmth needs a number for each of the twelve months.", "heated")
    held = _held(session, room, from_at)
    was = {row.month: {field: getattr(row, field) for field in _FIELDS} for row in held}
    said = {month: _of_month(usual, month) for month in range(1, 13)}
    if was == said:
        return False
    if held and held[0].from_at == from_at:
        for row in held:
            edit(session, row, who, now, **said[row.month])
        return True
    set_warmth(session, room, from_at=from_at, usual=usual)
    january = _held(session, room, from_at)[0]
    note_change(session, january, who, now, "warmth_c", _degrees(was), _degrees(said))
    return True


def _held(session: Session, room: int, at: datetime) -> list[RoomTempRow]:
    """The twelve rows that count at an instant; none where nothing was said for then or earlier."""
    own = select(RoomTempRow).where(RoomTempRow.room_id == room, RoomTempRow.from_at <= at)
    rows = session.scalars(own.order_by(RoomTempRow.from_at, RoomTempRow.month)).all()
    return [row for row in rows if row.from_at == rows[-1].from_at]


def _of_month(usual: RoomProfile, month: int) -> dict[str, Any]:
    return {
        "heated_c": usual.heated_c[month - 1],
        "unheated_c": usual.unheated_c[month - 1],
        "heated_from": usual.heated_from,
        "heated_until": usual.heated_until,
    }


def _degrees(year: Mapping[int, Mapping[str, Any]]) -> list[list[float]] | None:
    """Heated and unheated of each month, for the line of history."""
    return [[months["heated_c"], months["unheated_c"]] for _, months in sorted(year.items())] or None
