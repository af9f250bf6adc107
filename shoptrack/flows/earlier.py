"""A person's day so far → the places from which a tap may count: minutes ago, before lunch, at closing."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.engine.hours import day_spans, local
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True, slots=True)
class Earlier:
    """A place on the "When?" row: minutes ago, or an instant."""

    words: str
    value: str


def earlier(sight: Sight, person: int, now: datetime) -> tuple[Earlier, ...]:
    """The places on the "When?" row: now, minutes ago, the start of the last break, the last closing."""
    row = [Earlier("now", ""), Earlier("10 min ago", "10"), Earlier("30 min ago", "30")]
    lunch, closing = _lunch(sight, person, now), _closing(sight, person, now)
    row += [Earlier("before lunch", lunch.isoformat())] if lunch else []
    row += [Earlier("at closing", closing.isoformat())] if closing else []
    return tuple(row)


def _lunch(sight: Sight, person: int, now: datetime) -> datetime | None:
    calendar = sight.world.calendar
    day = day_spans(calendar, person, local(calendar, now).date())
    return max((end for _, end in day[:-1] if end <= now), default=None)


def _closing(sight: Sight, person: int, now: datetime) -> datetime | None:
    calendar = sight.world.calendar
    today = local(calendar, now).date()
    for back in range(8):
        day = day_spans(calendar, person, today - timedelta(days=back))
        if day and day[-1][1] <= now:
            return day[-1][1]
    return None
