"""One member of a tap, as it was sent → its value, or a sentence saying what is wrong with it."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import get_args

from shoptrack.engine.shapes import Role
from shoptrack.errors import BadInput

ID = re.compile(r"[A-Za-z0-9_-]{8,64}")
DEVICE = re.compile(r"[A-Za-z0-9._-]{1,64}")
# RFC 3339 section 5.6, date-time; the years are those a clock in a shop can show
RFC3339 = re.compile(
    r"((?:19[7-9]\d|2\d{3})-\d\d-\d\d)[Tt ](\d\d:\d\d):(\d\d)(\.\d+)?([Zz]|[+-](?:[01]\d|2[0-3]):\d\d)",
    re.ASCII,
)
DATE = re.compile(r"(?:19[7-9]\d|2\d{3})-\d\d-\d\d", re.ASCII)
GREATEST_ID = 2**31 - 1
GREATEST_SEQ = 2**53 - 1
GREATEST_COUNT = 1_000_000
GREATEST_CENTS = 100_000_000
GREATEST_MINUTES = 6000
GREATEST_METER_MIN = 100_000 * 60
GREATEST_AGO_MIN = 14 * 24 * 60
COLDEST_C, HOTTEST_C = -60, 150
MOST_STAGES = 20
TEXT, TOLD, WORD = 2000, 300, 60

CAUSES = ("dull edge", "moved in glue-up", "tear-out", "wrong cut", "finish", "wood", "other")
REASONS = ("lumber", "hardware", "customer's answer", "deposit", "sharpener", "other")
ASKS = (
    "in-clamps",
    "no-start",
    "still-on",
    "lunch",
    "closing",
    "back",
    "temperature",
    "found-dull",
    "doubtful-joint",
    "open-time",
)
ROLES: tuple[str, ...] = get_args(Role)

Schema = Mapping[str, object]


@dataclass(frozen=True)
class Field:
    """A member that a tap may carry: how it is read, and the same said as a JSON schema."""

    name: str
    read: Callable[[object], object]
    schema: Schema


def read_id(value: object) -> str:
    """An id made by a tablet."""
    if isinstance(value, str) and ID.fullmatch(value):
        return value
    raise BadInput("The tap has no id of 8 to 64 letters, digits, - or _.")


def read_device(value: object) -> str:
    """The name a tablet gave itself."""
    if isinstance(value, str) and DEVICE.fullmatch(value):
        return value
    raise BadInput("The tablet has no name of 1 to 64 letters, digits, dots, - or _.", "device")


def read_instant(value: object) -> datetime:
    """An RFC 3339 date-time with its offset, as UTC; a leap second is read as the next one's start."""
    found = RFC3339.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise BadInput("A time is not written like 2025-03-04T14:10:00Z.")
    day, minute, second, fraction, zone = found.groups()
    leap = second == "60"
    text = f"{day}T{minute}:{'59' if leap else second}{(fraction or '')[:7]}{zone.upper()}"
    try:
        at = datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError) as problem:
        raise BadInput(f"There is no such time as {value}.") from problem
    return at.replace(microsecond=0) + timedelta(seconds=1) if leap else at


def read_day(value: object) -> date:
    """A local date."""
    try:
        if isinstance(value, str) and DATE.fullmatch(value):
            return date.fromisoformat(value)
    except ValueError as problem:
        raise BadInput(f"There is no such day as {value}.") from problem
    raise BadInput("A day is not written like 2025-03-04.")


def read_stages(value: object) -> tuple[int, ...]:
    """The stages a tap speaks of; an empty list is nothing said."""
    read = whole("a stage's number", 1, GREATEST_ID)
    if not isinstance(value, list | tuple):
        raise BadInput("The stages are not a list.")
    if len(value) > MOST_STAGES:
        raise BadInput(f"More than {MOST_STAGES} stages can't be done together.")
    stages = tuple(int(read(one)) for one in value)
    if len(set(stages)) != len(stages):
        raise BadInput("The same stage is named twice.")
    return stages


def whole(name: str, least: int, most: int) -> Callable[[object], int]:
    """A reader of whole numbers; 3.0 is one, true is not."""

    def read(value: object) -> int:
        number = number_of(value, name)
        if not number.is_integer():
            raise BadInput(f"{capital(name)} is not a whole number.")
        if not least <= number <= most:
            raise BadInput(f"{capital(name)} is not from {least} to {most:,}.")
        return int(number)

    return read


def number(name: str, least: float, most: float, above: bool = False) -> Callable[[object], float]:
    """A reader of numbers from ``least`` (``above``: more than it) to ``most``."""

    def read(value: object) -> float:
        found = number_of(value, name)
        if not least <= found <= most or (above and found == least):
            words = f"more than {least:g}, up to {most:,.9g}" if above else f"from {least:g} to {most:,.9g}"
            raise BadInput(f"{capital(name)} is not {words}.")
        return found

    return read


def number_of(value: object, name: str) -> float:
    """A finite number. Raises BadInput for anything else; true and false are no numbers."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        try:
            found = float(value)
        except OverflowError:
            found = math.inf
        if math.isfinite(found):
            return found
    raise BadInput(f"{capital(name)} is not a number.")


def text(name: str, most: int) -> Callable[[object], str]:
    """A reader of text that can be kept and shown: no control signs but tab and line end, no half letters."""

    def read(value: object) -> str:
        if not isinstance(value, str):
            raise BadInput(f"{capital(name)} is not text.")
        if len(value) > most:
            raise BadInput(f"{capital(name)} is longer than {most:,} letters.")
        if any((ord(c) < 32 and c not in "\t\n\r") or 0xD800 <= ord(c) <= 0xDFFF for c in value):
            raise BadInput(f"{capital(name)} has signs in it that can't be kept.")
        return value

    return read


def one_of(name: str, words: tuple[str, ...]) -> Callable[[object], str]:
    """A reader of one of a few words."""

    def read(value: object) -> str:
        if isinstance(value, str) and value in words:
            return value
        raise BadInput(f"{capital(name)} is not one of: {', '.join(words)}.")

    return read


def yes_or_no(name: str) -> Callable[[object], bool]:
    """A reader of true and false."""

    def read(value: object) -> bool:
        if isinstance(value, bool):
            return value
        raise BadInput(f"{capital(name)} is neither yes nor no.")

    return read


def capital(name: str) -> str:
    """The name as a sentence begins with it."""
    return name[:1].upper() + name[1:]


def _id_field(name: str, words: str) -> Field:
    schema = {"type": "integer", "minimum": 1, "maximum": GREATEST_ID}
    return Field(name, whole(words, 1, GREATEST_ID), schema)


def _number_field(name: str, words: str, least: float, most: float, above: bool = False) -> Field:
    bound = "exclusiveMinimum" if above else "minimum"
    return Field(name, number(words, least, most, above), {"type": "number", bound: least, "maximum": most})


def _word_field(name: str, words: str, choices: tuple[str, ...]) -> Field:
    return Field(name, one_of(words, choices), {"type": "string", "enum": list(choices)})


def _text_field(name: str, words: str, most: int) -> Field:
    return Field(name, text(words, most), {"type": "string", "maxLength": most})


ID_SCHEMA: Schema = {"type": "string", "pattern": f"^{ID.pattern}$"}
INSTANT_SCHEMA: Schema = {
    "type": "string",
    "format": "date-time",
    "pattern": r"^(19[7-9][0-9]|2[0-9]{3})-",
    "description": "RFC 3339, years 1970 to 2999",
}
STAGES_SCHEMA: Schema = {
    "type": "array",
    "items": {"type": "integer", "minimum": 1, "maximum": GREATEST_ID},
    "maxItems": MOST_STAGES,
    "uniqueItems": True,
}

FIELDS: Mapping[str, Field] = {
    field.name: field
    for field in (
        Field("id", read_id, ID_SCHEMA),
        Field(
            "seq",
            whole("the tablet's own count", 0, GREATEST_SEQ),
            {"type": "integer", "minimum": 0, "maximum": GREATEST_SEQ},
        ),
        Field("at", read_instant, INSTANT_SCHEMA),
        Field("to_at", read_instant, INSTANT_SCHEMA),
        Field("look_again_on", read_day, {"type": "string", "format": "date"}),
        Field("of", read_id, ID_SCHEMA),
        Field("stages", read_stages, STAGES_SCHEMA),
        _id_field("stage", "a stage's number"),
        _id_field("person", "a person's number"),
        _id_field("helper", "the helper's number"),
        _id_field("job", "a job's number"),
        _id_field("pool", "the clamps' number"),
        _id_field("room", "a room's number"),
        _id_field("tool", "a tool's number"),
        _id_field("edge", "an edge's number"),
        _id_field("way_back", "the stage it goes back to"),
        _number_field("ago_min", "how long ago", 0, GREATEST_AGO_MIN),
        _number_field("count", "the count", 0, GREATEST_COUNT),
        _number_field("out_of", "out of how many", 0, GREATEST_COUNT, above=True),
        _number_field("minutes", "the number of minutes", 0, GREATEST_MINUTES),
        _number_field("value_c", "the temperature", COLDEST_C, HOTTEST_C),
        Field(
            "cents",
            whole("the cost in cents", 0, GREATEST_CENTS),
            {"type": "integer", "minimum": 0, "maximum": GREATEST_CENTS},
        ),
        _word_field("asks", "what is answered", ASKS),
        _word_field("cause", "the cause", CAUSES),
        _word_field("reason", "the reason", REASONS),
        _text_field("choice", "the answer", WORD),
        _text_field("text", "the text", TEXT),
        _text_field("told", "what was told", TOLD),
        Field("insisted", yes_or_no("whether it was insisted on"), {"type": "boolean"}),
        Field("goes_on", yes_or_no("whether the machine goes on"), {"type": "boolean"}),
    )
}
"""Every member that any kind of tap may carry, by name."""

METER = _number_field("minutes", "what the meter showed", 0, GREATEST_METER_MIN)
"""The reading of a tool's hour meter, in minutes."""
