"""Instants, minutes, counts and degrees to the words on the page, in the shop's own zone and units."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import floor
from zoneinfo import ZoneInfo

from flask import Flask

from shoptrack.engine.shapes import FAR
from shoptrack.engine.units import minutes_words, show_cents, show_length, show_share, show_warmth

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


# the space between a figure and its unit, and those inside "1 h 05", "2 days 6 h" and "8 in 10"
_INSIDE_AN_AMOUNT = re.compile(
    r"(?<=\d) (?=(?:h|min|days|%|in \d+|[A-Z]{3})(?!\w))"
    r"|(?<=\d h) (?=\d\d\b)|(?<=\d in) (?=\d)|(?<=\d days) (?=\d+ h\b)"
)


@dataclass(frozen=True, slots=True)
class Wall:
    """How this shop writes things: its name, its zone and its units."""

    name: str = "The shop"
    zone: str = "UTC"
    length_unit: str = "in"
    temperature_unit: str = "F"
    currency: str = "USD"
    clock_24h: bool = True
    is_demo: bool = False
    first_day: str | None = None

    def local(self, at: datetime) -> datetime:
        """An instant on the shop's wall."""
        return at.astimezone(ZoneInfo(self.zone))


def clock(at: datetime, wall: Wall) -> str:
    """The time of day: "14:10", or "2:10 pm"."""
    local = wall.local(at)
    if wall.clock_24h:
        return f"{local.hour}:{local.minute:02d}"
    return f"{local.hour % 12 or 12}:{local.minute:02d} {'am' if local.hour < 12 else 'pm'}"


def when(at: datetime | None, now: datetime, wall: Wall) -> str:
    """An instant as makers say it: "14:10", "tomorrow 9:30", "Thu 8:00", "3 Dec 9:30".

    A weekday alone means within six days either way; "much later" is an instant beyond the horizon.
    """
    if at is None or at >= FAR - timedelta(days=2):
        return "much later"
    day, today = wall.local(at).date(), wall.local(now).date()
    away = (day - today).days
    if away == 0:
        return clock(at, wall)
    named = {1: "tomorrow", -1: "yesterday"}.get(away)
    if named is None:
        named = DAYS[day.weekday()] if abs(away) < 7 else short_date(day, today)
    return f"{named} {clock(at, wall)}"


def short_date(day: date, today: date) -> str:
    """A day as "3 Dec", with the year where it is not this one."""
    year = "" if day.year == today.year else f" {day.year}"
    return f"{day.day} {MONTHS[day.month - 1]}{year}"


def day(on: date | None, now: datetime, wall: Wall) -> str:
    """A date as "today", "tomorrow", "Thu 3 Dec" or "3 Dec 2027"; "no date" where there is none."""
    if on is None:
        return "no date"
    today = wall.local(now).date()
    away = (on - today).days
    if away in (0, 1, -1):
        return ("today", "tomorrow", "yesterday")[away]
    short = short_date(on, today)
    return short if on.year != today.year else f"{DAYS[on.weekday()]} {short}"


def wall_clock(at: datetime, wall: Wall) -> str:
    """Weekday and time for the title block: "Wed 13:24"."""
    return f"{DAYS[wall.local(at).weekday()]} {clock(at, wall)}"


def minutes(amount: float | None) -> str:
    """Minutes as "45 min", "1 h 25", "2 h"; nothing for nothing known."""
    return "" if amount is None else minutes_words(amount)


def count(amount: float | None) -> str:
    """A count without a trailing .0 and with at most two decimals: "7", "2.5"."""
    return "" if amount is None else f"{amount:.2f}".rstrip("0").rstrip(".")


def whole(amount: float | None) -> int:
    """A count of pieces that are ready: what is not wholly ready is not."""
    return 0 if amount is None else floor(amount + 1e-9)


def measure(amount: float, unit: str) -> str:
    """A count with its unit, in the singular for one: "1 coat", "20 inlays", "12.5 square feet"."""
    if amount == 1 and unit.endswith("s") and not unit.endswith(("ss", "minutes")):
        unit = unit.removesuffix("s")
    return f"{count(amount)} {unit}".strip()


def degrees(c: float | None, wall: Wall) -> str:
    """Degrees in the shop's unit, whole: "68 °F", "−3 °C"."""
    if c is None:
        return ""
    return show_warmth(c, "F" if wall.temperature_unit == "F" else "C").replace("-", "−")


def length(mm: float | None, wall: Wall) -> str:
    """A length as makers of this shop write it, in inches or mm; nothing for nothing known."""
    return "" if mm is None else show_length(mm, "mm" if wall.length_unit == "mm" else "in")


def length_field(mm: float | None, wall: Wall) -> str:
    """A length for a field that is read in the shop's unit anyway: "4 3/8", "111"."""
    return length(mm, wall).removesuffix('"').removesuffix(" mm")


def warmth_field(c: float | None, wall: Wall) -> str:
    """Degrees for a field, in the shop's unit, to a tenth."""
    if c is None:
        return ""
    return f"{c * 9 / 5 + 32 if wall.temperature_unit == 'F' else c:.1f}".removesuffix(".0")


def cents_field(cents: int | None, wall: Wall) -> str:
    """Money for a field, in the currency's own decimals: "1250.50"."""
    if cents is None:
        return ""
    return show_cents(cents, wall.currency).rsplit(" ", 1)[0].replace(",", "")


def share_field(bp: float | None) -> str:
    """A share of a hundred for a field: "30", "8.1"; nothing for nothing known."""
    return "" if bp is None else show_share(bp).removesuffix(" %")


def listed(words: list[str] | tuple[str, ...]) -> str:
    """Words as a list in a sentence: "Ann", "Ann and Ben", "Ann, Ben and Cleo"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def unbroken(words: str) -> str:
    """Words in which no amount breaks over two lines: "1 h 05", "12.50 USD", "8 in 10", "30 %"."""
    return _INSIDE_AN_AMOUNT.sub("\N{NO-BREAK SPACE}", words)


def hang(app: Flask, wall: Callable[[], Wall], now: Callable[[], datetime]) -> None:
    """Give the templates these words as filters, in the shop's zone and at the request's instant."""
    app.jinja_env.filters.update(
        clock=lambda at: clock(at, wall()),
        when=lambda at: when(at, now(), wall()),
        day=lambda on: day(on, now(), wall()),
        day_name=lambda at: DAYS[wall().local(at).weekday()],
        wall_clock=lambda at: wall_clock(at, wall()),
        minutes=lambda amount: unbroken(minutes(amount)),
        count=count,
        whole=whole,
        measure=measure,
        degrees=lambda c: degrees(c, wall()),
        listed=listed,
        size=lambda mm: length(mm, wall()),  # "length" is what the templates count with
        size_field=lambda mm: length_field(mm, wall()),
        warmth_field=lambda c: warmth_field(c, wall()),
        cents_field=lambda cents: cents_field(cents, wall()),
        money=lambda cents: unbroken(show_cents(cents, wall().currency)),
        unbroken=unbroken,
        share=show_share,
        share_field=share_field,
        wall_field=lambda at: wall().local(at).strftime("%Y-%m-%dT%H:%M"),
        instant=lambda at: at.isoformat(timespec="seconds"),
    )
    app.jinja_env.globals.update(wall=wall, now=now)
