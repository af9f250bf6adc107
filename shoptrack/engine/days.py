"""Stretches of time cut at the shop's midnights, joined, and less other stretches."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time, timedelta

from shoptrack.engine.hours import instant, local
from shoptrack.engine.shapes import Calendar

Span = tuple[datetime, datetime]
Spans = tuple[Span, ...]


def day_of(calendar: Calendar, on: date) -> Span:
    """A local day from its midnight to the next, as instants: 23 or 25 hours long where the clocks change."""
    return instant(calendar, on, time(0)), instant(calendar, on + timedelta(days=1), time(0))


def by_day(calendar: Calendar, spans: Iterable[Span]) -> Mapping[date, Spans]:
    """Stretches cut at local midnights.

    Takes UTC spans. Gives, for each local day that has any, its spans in order, overlapping ones joined.
    Empty: no stretch, no day.
    """
    found: dict[date, list[Span]] = {}
    for start, end in spans:
        on = local(calendar, start).date()
        while start < end:
            _, midnight = day_of(calendar, on)
            found.setdefault(on, []).append((start, min(end, midnight)))
            start, on = midnight, on + timedelta(days=1)
    return {on: joined(found[on]) for on in sorted(found)}


def joined(spans: Iterable[Span]) -> Spans:
    """Stretches in order, overlapping or touching ones made one, empty ones dropped."""
    whole: list[Span] = []
    for start, end in sorted(spans):
        if end <= start:
            continue
        if whole and start <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(end, whole[-1][1]))
        else:
            whole.append((start, end))
    return tuple(whole)


def less(spans: Iterable[Span], others: Iterable[Span]) -> Spans:
    """What of some stretches lies in none of the others, in order."""
    left = list(joined(spans))
    for start, end in joined(others):
        left = [part for a, b in left for part in ((a, min(b, start)), (max(a, end), b)) if part[0] < part[1]]
    return tuple(left)


def minutes_in(spans: Iterable[Span]) -> float:
    """Real minutes in all of the stretches."""
    return sum((b - a).total_seconds() for a, b in spans) / 60.0
