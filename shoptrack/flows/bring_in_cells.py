"""One cell of a table that is brought in → a day, number, minutes, money or words, or a sentence why not."""

import math
import re
from datetime import date

from shoptrack.engine.units import decimals_of, parse_cents, parse_minutes
from shoptrack.errors import BadInput

EARLIEST = date(1950, 1, 1)
LONGEST_NAME, LONGEST_NOTE = 200, 4000
GREATEST_MINUTES = 366 * 24 * 60
GREATEST_MEASURE = 10_000_000
_YEAR_FIRST = re.compile(
    r"(\d{4})([-/.]?)(\d{1,2})\2(\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?", re.ASCII
)
_YEAR_LAST = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})", re.ASCII)
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?", re.ASCII | re.IGNORECASE)


def words(text: str, longest: int = LONGEST_NAME) -> str:
    """What stands in a cell, as it stands; nothing where only space is. Raises BadInput when too long."""
    if len(text) > longest:
        raise BadInput(f"It is longer than {longest:,} letters.")
    return text if text.strip() else ""


def note(text: str) -> str:
    """The same for a cell that may hold a long note."""
    return words(text, LONGEST_NOTE)


def day(text: str, today: date) -> date:
    """A day that is not still to come.

    Takes 2026-04-03, with or without a time after it, 3.4.2026 (with points the day is always first), and
    25/12/2026, which can be read in one way only. Raises BadInput for 3/4/2026, which can be read in two.
    """
    found = _day(text.strip())
    if found > today:
        raise BadInput(f"{found.isoformat()} is still to come.")
    if found < EARLIEST:
        raise BadInput(f"{found.isoformat()} is too long ago to be meant.")
    return found


def _day(text: str) -> date:
    if not text:
        raise BadInput("It is missing.")
    year_first = _YEAR_FIRST.fullmatch(text)
    if year_first and (year_first[2] or len(year_first[3] + year_first[4]) == 4):
        return _date(text, int(year_first[1]), int(year_first[3]), int(year_first[4]))
    year_last = _YEAR_LAST.fullmatch(text)
    if year_last is None:
        raise BadInput(f"“{short(text)}” is not a date; write it like 2026-04-03.")
    first, second, year = int(year_last[1]), int(year_last[3]), int(year_last[4])
    # common practice, no source: dates with points are written day, month, year wherever they are written
    if year_last[2] == "." or first > 12 or first == second:
        return _date(text, year, second, first)
    if second > 12:
        return _date(text, year, first, second)
    raise BadInput(
        f"“{text}” could be {year}-{first:02d}-{second:02d} or {year}-{second:02d}-{first:02d}: "
        "write the year first."
    )


def _date(text: str, year: int, month: int, day_: int) -> date:
    try:
        return date(year, month, day_)
    except ValueError as problem:
        raise BadInput(f"There is no such day as “{text}”.") from problem


def number(text: str, mark: str) -> float:
    """A number in a table with this decimal mark. Raises BadInput for anything else."""
    plain = text.strip().replace("−", "-").replace("\u00a0", "")
    if not plain:
        raise BadInput("It is missing.")
    if mark == ",":
        _refuse_sign(plain, ".", "write it without the point")
        plain = plain.replace(",", ".")
    else:
        _refuse_sign(plain, ",", "write it with a point, or without the comma")
    if mark == "?":
        _refuse_sign(plain, ".", "write 1.500 as 1500 or as 1,5")
    if not _NUMBER.fullmatch(plain) or not math.isfinite(float(plain)):
        raise BadInput(f"“{short(text)}” is not a number.")
    return float(plain)


def _refuse_sign(plain: str, sign: str, way_out: str) -> None:
    if sign in plain and not plain.strip("0123456789+-.,"):
        raise BadInput(f"“{short(plain)}” could be thousands or decimals: {way_out}.")


def above_nought(found: float, most: float) -> float:
    """The number. Raises BadInput unless it is above nought and can be meant."""
    if found <= 0:
        raise BadInput("It must be above nought.")
    if found > most:
        raise BadInput(f"{found:g} is too much to be meant.")
    return found


def measure(text: str, mark: str) -> float:
    """A measure above nought."""
    return above_nought(number(text, mark), GREATEST_MEASURE)


def minutes(text: str, mark: str) -> float:
    """Minutes above nought: 85, 85.5, or as makers write them, 1 h 25."""
    if re.search(r"[:hdw]|min", text.casefold()):
        return above_nought(parse_minutes(text.strip()), GREATEST_MINUTES)
    return above_nought(number(text, mark), GREATEST_MINUTES)


def cents(text: str, mark: str, currency: str) -> int:
    """An amount of money in the currency's smallest unit; thousands may not be parted."""
    plain = text.strip()
    if mark == ",":
        _refuse_sign(plain, ".", "write it without the point")
        plain = plain.replace(",", ".")
    elif mark == "?":
        _refuse_sign(plain, ".", "write 1.500 as 1500 or as 1,5")
    found = parse_cents(plain, currency)
    if not 0 <= found <= 10**9 * 10 ** decimals_of(currency):
        raise BadInput(f"“{short(text)}” can’t be meant as a price.")
    return found


def short(text: str) -> str:
    """A text as a sentence can quote it: in one line, and not a long one."""
    plain = " ".join(text.split())
    return plain if len(plain) <= 40 else plain[:39] + "…"


def plain_lines(text: str) -> str:
    """A text as it is compared, whichever way the program that saved it ends its lines."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def fold(name: str) -> str:
    """A name as it is compared: capitals and space make no difference."""
    return " ".join(name.split()).casefold()
