"""Days, instants and waits to the words on paper, which is read on another day than it was printed."""

from datetime import date, datetime, timedelta

from shoptrack.engine.shapes import FAR
from shoptrack.web.render import DAYS, MONTHS, Wall, clock, minutes

DAYS_FROM_MIN = 48 * 60  # whole days from two on are said as days


def paper_day(on: date | None) -> str:
    """A date with its weekday and year: "Fri 27 Nov 2026"; "no date" where there is none."""
    return "no date" if on is None else f"{DAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]} {on.year}"


def paper_when(at: datetime | None, wall: Wall) -> str:
    """An instant with its day, whatever today is: "Wed 25 Nov 13:48"; "much later" beyond the horizon."""
    if at is None or at >= FAR - timedelta(days=2):
        return "much later"
    local = wall.local(at)
    return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]} {clock(at, wall)}"


def wait(amount: float) -> str:
    """Minutes of waiting: "30 min", "24 h", "7 days"."""
    days, rest = divmod(round(amount), 24 * 60)
    return f"{days} days" if amount >= DAYS_FROM_MIN and not rest else minutes(amount)
