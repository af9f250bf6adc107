"""Stations → their limits, the room they stand in, and how many there is room for."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.shop import list_rooms
from shoptrack.store.stations import keep_room
from shoptrack.store.tables import RoomRow, StationRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import length, length_field
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name

MOST_PLACES = 1000
Choices = tuple[tuple[int, str], ...]
LIMITS = (
    ("greatest_width_mm", "The greatest width"),
    ("least_length_mm", "The least length"),
    ("bed_length_mm", "The bed’s length"),
    ("bed_width_mm", "The bed’s width"),
)


@dataclass(frozen=True, slots=True)
class Station:
    """What the form of a station is filled with."""

    rooms: Choices
    name: str = ""
    room: str = ""
    makes_dust: bool = False
    greatest_width: str = ""
    least_length: str = ""
    bed_length: str = ""
    bed_width: str = ""
    places: str = "1"
    through_cure: bool = False


def shown_station(session: Session, row: Any, editor: Editor, fields: Fields) -> Station:
    rooms = choices(list_rooms(session), row and row.room_id and session.get(RoomRow, row.room_id))
    if row is None:
        return Station(rooms)
    wide, short, long, deep = (length_field(getattr(row, column), editor.wall) for column, _ in LIMITS)
    return Station(
        rooms=rooms,
        name=row.name,
        room=str(row.room_id or ""),
        makes_dust=row.makes_dust,
        greatest_width=wide,
        least_length=short,
        bed_length=long,
        bed_width=deep,
        places=str(row.places),
        through_cure=row.through_cure,
    )


def line_of_station(session: Session, row: Any, editor: Editor) -> str:
    room = session.get(RoomRow, row.room_id) if row.room_id else None
    wide, short = length(row.greatest_width_mm, editor.wall), length(row.least_length_mm, editor.wall)
    bed = [length(row.bed_length_mm, editor.wall), length(row.bed_width_mm, editor.wall)]
    said = (
        room.name if room is not None else "",
        f"up to {wide} wide" if wide else "",
        f"not under {short} long" if short else "",
        f"bed {' × '.join(b for b in bed if b)}" if any(bed) else "",
        "makes dust" if row.makes_dust else "",
        f"room for {row.places}" if row.places > 1 else "",
        "work stays there until it may be worked on" if row.through_cure else "",
    )
    return ", ".join(part for part in said if part)


def write_station(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a station, or say another name, room or limit of one."""
    values: dict[str, Any] = {
        "name": take_name(session, StationRow, row, fields),
        "room_id": chosen(session, RoomRow, fields, "room", "The room"),
        "makes_dust": bool(fields.get("makes_dust")),
        "places": _places(fields),
        "through_cure": bool(fields.get("through_cure")),
    }
    for column, called in LIMITS:
        values[column] = forms.maybe_length(fields, column.removesuffix("_mm"), called, editor.wall)
        if row is not None and same_length(getattr(row, column), values[column], editor):
            values[column] = getattr(row, column)
    if row is None:
        row = StationRow(**values)
        add_row(session, editor, row)
        return row
    if row.room_id != values["room_id"]:
        keep_room(session, row, editor.who, editor.now)
    change_row(session, editor, row, **values)
    return row


def _places(fields: Fields) -> int:
    """How many there is room for: one where nothing is written."""
    typed = fields.get("places", "").strip()
    return forms.whole(fields, "places", "The number there is room for", most=MOST_PLACES) if typed else 1


def same_length(was: float | None, said: float | None, editor: Editor) -> bool:
    """Whether a length only lost what the field does not show, a hair of a sixteenth."""
    return said is not None and length_field(was, editor.wall) == length_field(said, editor.wall)


def chosen(session: Session, table: type[Any], fields: Fields, name: str, called: str) -> int | None:
    """The id of a thing that was chosen from a list, None for none. Raises BadInput where it is not there."""
    id_ = forms.maybe_id(fields, name, called)
    if id_ is not None and session.get(table, id_) is None:
        raise BadInput(f"{called} is not there any more.", name)
    return id_


def choices(rows: list[Any], here: Any) -> Choices:
    """What may be chosen: those in use, and the one that is chosen though it is retired."""
    return tuple((r.id, r.name) for r in (rows if not here or here in rows else [*rows, here]))


STATIONS = Thing(
    what="stations",
    title="Stations",
    one="station",
    intro="A machine that one stage holds at a time, or a place with room for several; and their limits.",
    table=StationRow,
    order="id",
    line=line_of_station,
    shown=shown_station,
    write=write_station,
    dated=False,
)
