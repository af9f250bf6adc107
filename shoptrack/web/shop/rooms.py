"""Rooms → their usual warmth by month, heated and not, by date."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import time
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import RoomProfile
from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import said_of
from shoptrack.store.rooms import say_warmth
from shoptrack.store.tables import RoomRow, RoomTempRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import MONTHS, degrees, warmth_field
from shoptrack.web.shop.dated import Line, in_force_now, lines
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.minutes import time_words
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name

MORNING, EVENING = time(7), time(17)


@dataclass(frozen=True, slots=True)
class Month:
    """A month with its two fields."""

    name: str
    number: int
    heated: str = ""
    unheated: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a room is filled with: one number for all months where they are alike."""

    months: tuple[Month, ...]
    name: str = ""
    heated: str = ""
    unheated: str = ""
    heated_from: str = f"{MORNING:%H:%M}"
    heated_until: str = f"{EVENING:%H:%M}"
    by_month: bool = False
    history: tuple[Line, ...] = ()


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    rows = _year(session, row, editor) if row is not None else []
    if not rows:
        return Shown(tuple(Month(name, n) for n, name in enumerate(MONTHS, start=1)), row.name if row else "")
    heated = [warmth_field(r.heated_c, editor.wall) for r in rows]
    unheated = [warmth_field(r.unheated_c, editor.wall) for r in rows]
    alike = len(set(heated)) == len(set(unheated)) == 1
    januaries = said_of(session, RoomTempRow, {"room_id": row.id, "month": 1})
    return Shown(
        tuple(
            Month(name, n, "" if alike else heated[n - 1], "" if alike else unheated[n - 1])
            for n, name in enumerate(MONTHS, start=1)
        ),
        row.name,
        heated[0] if alike else "",
        unheated[0] if alike else "",
        f"{rows[0].heated_from:%H:%M}",
        f"{rows[0].heated_until:%H:%M}",
        not alike,
        lines(januaries, editor, lambda january: _words(session, january, editor)),
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    rows = _year(session, row, editor)
    return _year_words(rows, editor) if rows else ""


def _words(session: Session, january: Any, editor: Editor) -> str:
    rows = _months_of(session, january.room_id, january.from_at)
    return _year_words(rows, editor)


def _year(session: Session, row: Any, editor: Editor) -> list[Any]:
    januaries = said_of(session, RoomTempRow, {"room_id": row.id, "month": 1})
    here = in_force_now(januaries, editor)
    return [] if here is None else _months_of(session, row.id, here.from_at)


def _months_of(session: Session, room: int, from_at: object) -> list[Any]:
    rows: Sequence[Any] = said_of(session, RoomTempRow, {"room_id": room, "from_at": from_at})
    return sorted(rows, key=lambda row: int(row.month))


def _year_words(rows: Sequence[Any], editor: Editor) -> str:
    heated = _range([r.heated_c for r in rows], editor)
    unheated = _range([r.unheated_c for r in rows], editor)
    begins, ends = (time_words(at, editor.wall) for at in (rows[0].heated_from, rows[0].heated_until))
    return f"{heated} from {begins} to {ends}, {unheated} unheated"


def _range(values: Sequence[float], editor: Editor) -> str:
    low, high = degrees(min(values), editor.wall), degrees(max(values), editor.wall)
    return low if low == high else f"{low} to {high}"


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a room, or say its usual warmth from a date on."""
    name = take_name(session, RoomRow, row, fields)
    usual = RoomProfile(
        heated_c=_twelve(fields, "heated", "The warmth while heated", editor),
        unheated_c=_twelve(fields, "unheated", "The warmth while not heated", editor),
        heated_from=_clock(fields, "heated_from", "Heated from"),
        heated_until=_clock(fields, "heated_until", "Heated until"),
    )
    if usual.heated_from > usual.heated_until:
        raise BadInput("Heating must begin before it ends.", "heated_until")
    if row is None:
        row = RoomRow(name=name)
        add_row(session, editor, row)
    else:
        usual = _as_stored(session, row, usual, editor)
        change_row(session, editor, row, name=name)
    say_warmth(session, row.id, usual, editor.begins_at(fields), editor.who, editor.now)
    return row


def _as_stored(session: Session, row: Any, usual: RoomProfile, editor: Editor) -> RoomProfile:
    """The profile with degrees that only lost what the field does not show taken from the one in force."""
    rows = _year(session, row, editor)
    if not rows:
        return usual

    def kept(was: Sequence[float], said: Sequence[float]) -> tuple[float, ...]:
        pairs = zip(was, said, strict=True)
        return tuple(
            a if warmth_field(a, editor.wall) == warmth_field(b, editor.wall) else b for a, b in pairs
        )

    return replace(
        usual,
        heated_c=kept([r.heated_c for r in rows], usual.heated_c),
        unheated_c=kept([r.unheated_c for r in rows], usual.unheated_c),
    )


def _twelve(fields: Fields, name: str, called: str, editor: Editor) -> tuple[float, ...]:
    """A number for each month: its own, else the one for all."""
    common = forms.maybe_warmth(fields, name, called, editor.wall)
    own = [
        forms.maybe_warmth(fields, f"{name}-{n}", f"{called} in {MONTHS[n - 1]}", editor.wall)
        for n in range(1, 13)
    ]
    months = [common if warmth is None else warmth for warmth in own]
    missing = next((n for n, warmth in enumerate(months, start=1) if warmth is None), None)
    if missing is not None:
        where = name if all(warmth is None for warmth in own) else f"{name}-{missing}"
        raise BadInput(f"{called} is missing: one number for all months, or one for each.", where)
    return tuple(warmth for warmth in months if warmth is not None)


def _clock(fields: Fields, name: str, called: str) -> time:
    found = forms.maybe_clock(fields, name, called)
    if found is None:
        raise BadInput(f"{called} is missing.", name)
    return found


ROOMS = Thing(
    what="rooms",
    title="Rooms",
    one="room",
    intro="Where glue and finish dry, with the usual warmth by day and by night. A thermometer that is read "
    "on the Bench counts before what is usual.",
    table=RoomRow,
    order="id",
    line=line,
    shown=shown,
    write=write,
)
