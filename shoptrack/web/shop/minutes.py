"""Minutes and times of day → what a field is filled with and what a line says, in the shop's own way."""

from datetime import date, datetime, time

from shoptrack.engine.units import parse_minutes, show_minutes
from shoptrack.web.render import Wall, day, when


def minutes_field(minutes: float | None) -> str:
    """Minutes as "30 min", "1 h 05", "3 days"; a part of a minute as "7.5 min"; nothing for nothing known.

    Read again they are the same minutes.
    """
    if minutes is None:
        return ""
    said = show_minutes(minutes)
    return said if parse_minutes(said) == minutes else f"{minutes:.10g} min"


def since_words(since: datetime | date, now: datetime, wall: Wall) -> str:
    """From when on something counts: a day as "Tue 1 Dec", also where it is a day's first instant."""
    if not isinstance(since, datetime):
        return day(since, now, wall)
    local = wall.local(since)
    return day(local.date(), now, wall) if local.time() == time(0) else when(since, now, wall)


def time_words(at: time, wall: Wall) -> str:
    """A time of day: "14:10", or "2:10 pm"."""
    if wall.clock_24h:
        return f"{at.hour}:{at.minute:02d}"
    return f"{at.hour % 12 or 12}:{at.minute:02d} {'am' if at.hour < 12 else 'pm'}"
