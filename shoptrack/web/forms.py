"""The fields of a posted form to values, each refused by name with one plain sentence."""

import hashlib
import math
import secrets
from collections.abc import Collection, Mapping
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from flask import Flask

from shoptrack.engine.units import decimals_of, parse_cents, parse_length, parse_minutes, parse_warmth
from shoptrack.errors import BadInput
from shoptrack.web.render import Wall

Fields = Mapping[str, str]
LONGEST_WORDS = 200
LONGEST_NOTE = 4000


def words(fields: Fields, name: str, called: str, longest: int = LONGEST_WORDS) -> str:
    """What was written, without space around it. Raises BadInput when it is empty or too long."""
    text = maybe_words(fields, name, called, longest)
    if not text:
        raise BadInput(f"{called} is missing.", name)
    return text


def maybe_words(fields: Fields, name: str, called: str, longest: int = LONGEST_WORDS) -> str:
    """What was written, or nothing. Raises BadInput when it is too long."""
    text = fields.get(name, "").strip()
    text = " ".join(text.split()) if longest <= LONGEST_WORDS else text
    if len(text) > longest:
        raise BadInput(f"{called} is longer than {longest} letters.", name)
    return text


def whole(fields: Fields, name: str, called: str, least: int = 1, most: int = 10_000) -> int:
    """A whole number. Raises BadInput outside ``least`` to ``most``."""
    text = fields.get(name, "").strip()
    if not (text.isascii() and text.isdigit()) or not least <= int(text[:12]) <= most:
        raise BadInput(f"{called} must be a whole number from {least} to {most}.", name)
    return int(text)


def measure(fields: Fields, name: str, called: str, most: float = 100_000) -> float | None:
    """A measure above nought, with a point or a comma; None when nothing is written."""
    text = fields.get(name, "").strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 < value <= most:
        raise BadInput(f"{called} must be a number above nought.", name)
    return value


def maybe_day(fields: Fields, name: str, called: str) -> date | None:
    """A date, or None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as problem:
        raise BadInput(f"{called} is not a date; one looks like 2027-03-14.", name) from problem


def maybe_cents(fields: Fields, name: str, currency: str) -> int | None:
    """An amount of money in the currency's smallest unit, or None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    cents = parse_cents(text, currency, name)
    if not 0 <= cents <= 10**9 * 10 ** decimals_of(currency):
        raise BadInput("That price can’t be meant.", name)
    return cents


def number(fields: Fields, name: str, called: str, least: float = 0, most: float = 100_000) -> float | None:
    """A number from ``least`` to ``most``, with a point or a comma; None when nothing is written."""
    text = fields.get(name, "").strip().replace(",", ".").replace("−", "-")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not least <= value <= most:
        raise BadInput(f"{called} must be a number from {least:g} to {most:g}.", name)
    return value


def maybe_length(
    fields: Fields, name: str, called: str, wall: Wall, most_mm: float = 100_000
) -> float | None:
    """A length above nought as a maker writes it, in the shop's unit, as mm; None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    found = parse_length(text, "mm" if wall.length_unit == "mm" else "in", name)
    if not 0 < found <= most_mm:
        raise BadInput(f"{called} can’t be meant.", name)
    return found


def maybe_warmth(fields: Fields, name: str, called: str, wall: Wall) -> float | None:
    """A temperature in the shop's unit, as °C; None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    found = parse_warmth(text, "F" if wall.temperature_unit == "F" else "C", name)
    if not -60 <= found <= 120:
        raise BadInput(f"{called} can’t be meant.", name)
    return found


def maybe_minutes(fields: Fields, name: str, called: str, most: float = 525_600) -> float | None:
    """A length of time ("85", "1 h 25", "7 days") as minutes; None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    found = parse_minutes(text, name)
    if found > most:
        raise BadInput(f"{called} can’t be meant.", name)
    return found


def maybe_clock(fields: Fields, name: str, called: str) -> time | None:
    """A time of day as a page's own field writes it (13:05); None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    try:
        found = time.fromisoformat(text)
    except ValueError as problem:
        raise BadInput(f"{called} is not a time of day; one looks like 13:05.", name) from problem
    return found.replace(second=0, microsecond=0, tzinfo=None)


def choice(fields: Fields, name: str, called: str, among: Collection[str]) -> str:
    """One of several words. Raises BadInput for any other."""
    said = fields.get(name, "")
    if said not in among:
        raise BadInput(f"{called} is missing." if not said else f"{called} can’t be that.", name)
    return said


def maybe_id(fields: Fields, name: str, called: str) -> int | None:
    """The id of a thing chosen from a list; None when none is chosen."""
    return whole(fields, name, called, most=2**31 - 1) if fields.get(name, "").strip() else None


def wall_time(fields: Fields, name: str, wall: Wall) -> datetime:
    """A wall time as a page's own field writes it (2027-03-14T13:05), as an instant.

    A time that comes twice, on the night the clocks go back, is its first.
    """
    try:
        said = datetime.fromisoformat(fields.get(name, ""))
    except ValueError as problem:
        raise BadInput("Give the day and the time.", name) from problem
    if said.tzinfo is not None or not 1970 < said.year < 9000:
        raise BadInput("Give the day and the time by the shop’s clock.", name)
    return said.replace(tzinfo=ZoneInfo(wall.zone)).astimezone(UTC)


def local_path(fields: Fields, name: str) -> str:
    """Where to go on: a path of our own, the Floor when nothing is said. Raises BadInput for an address."""
    path = fields.get(name, "") or "/"
    if not path.startswith("/") or path.startswith(("//", "/\\")) or any(ord(c) < 33 for c in path):
        raise BadInput("That leads away from this shop.", name)
    return path


def form_id(*parts: object) -> str:
    """The hidden id of a form that is the same on every page with the same parts, so two posts count once."""
    return hashlib.sha256("|".join(map(str, parts)).encode()).hexdigest()[:32]


def new_id() -> str:
    """The hidden id of a form that was never shown before."""
    return secrets.token_hex(16)


def hang(app: Flask) -> None:
    """Give the templates the ids of their forms."""
    app.jinja_env.globals.update(form_id=form_id, new_id=new_id)
