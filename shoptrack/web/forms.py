"""The fields of a posted form to values, each refused by name with one plain sentence."""

import hashlib
import math
import secrets
from collections.abc import Collection, Mapping
from datetime import date, time

from flask import Flask

from shoptrack.engine.units import (
    decimals_of,
    parse_cents,
    parse_length,
    parse_minutes,
    parse_share,
    parse_tax,
    parse_warmth,
)
from shoptrack.errors import BadInput
from shoptrack.web.render import Wall

Fields = Mapping[str, str]
LONGEST_WORDS = 200
LONGEST_NOTE = 4000
FIRST_YEAR, LAST_YEAR = 1990, 2100
"""What days of a shop lie between; beyond, the weeks around a day may have no date at all."""


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
    found = int(text) if text.isascii() and text.isdigit() and len(text) <= 12 else None
    if found is None or not least <= found <= most:
        raise BadInput(f"{called} must be a whole number from {least} to {most}.", name)
    return found


def measure(fields: Fields, name: str, called: str, most: float = 100_000) -> float | None:
    """A measure above nought, with a point or a comma; None when nothing is written."""
    text = fields.get(name, "").strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if most < value < math.inf:
        raise BadInput(f"{called} must be a number above nought, {most:.15g} at most.", name)
    if not 0 < value <= most:
        raise BadInput(f"{called} must be a number above nought.", name)
    return value


def maybe_day(fields: Fields, name: str, called: str) -> date | None:
    """A date, or None when nothing is written. Raises BadInput for one that no shop can mean."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    try:
        found = date.fromisoformat(text)
    except ValueError as problem:
        raise BadInput(f"{called} is not a date; one looks like 2027-03-14.", name) from problem
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise BadInput(f"{called} must lie between {FIRST_YEAR} and {LAST_YEAR}.", name)
    return found


def maybe_cents(fields: Fields, name: str, currency: str) -> int | None:
    """An amount of money in the currency's smallest unit, or None when nothing is written."""
    text = fields.get(name, "").strip()
    if not text:
        return None
    cents = parse_cents(text, currency, name)
    if not 0 <= cents <= 10**9 * 10 ** decimals_of(currency):
        raise BadInput("That price can’t be meant.", name)
    return cents


def maybe_share(fields: Fields, name: str) -> int | None:
    """A share of a hundred in hundredths of one per cent, or None when nothing is written."""
    text = fields.get(name, "").strip()
    return parse_share(text, name) if text else None


def maybe_tax(fields: Fields, name: str) -> float | None:
    """A tax in hundredths of one per cent, to a tenth of one, or None when nothing is written."""
    text = fields.get(name, "").strip()
    return parse_tax(text, name) if text else None


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
