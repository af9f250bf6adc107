"""A week of hours → its drawing: for each day the paid hours as a band, the work on it as dimension lines."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.flows.weeks import DayHours, PersonWeek, WeekView

WIDE = 700.0
EDGE = 6.0
LETTER = 8.5  # how wide a letter of the labels is, about
MARGIN = timedelta(minutes=30)
USUAL = (timedelta(hours=7), timedelta(hours=17))


@dataclass(frozen=True, slots=True)
class Line:
    """A dimension line across the drawing, with what is written on it where it fits."""

    x: float
    to_x: float
    words: str
    shop: bool

    @property
    def middle(self) -> float:
        """Where its words stand."""
        return (self.x + self.to_x) / 2


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A day: its hours, the bands that are paid, the lines of work."""

    day: DayHours
    bands: tuple[tuple[float, float], ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class PersonSheet:
    """A person's week as it is drawn."""

    week: PersonWeek
    days: tuple[DaySheet, ...]


@dataclass(frozen=True, slots=True)
class WeekSheet:
    """The week of all, on one axis; ``hours`` are places on it with the hour of the day."""

    view: WeekView
    people: tuple[PersonSheet, ...]
    hours: tuple[tuple[float, int], ...]


def draw(view: WeekView) -> WeekSheet:
    """A week as it is drawn; each day from the earliest to the latest hour that anything has in the week."""
    first, last = _reach(view)
    axis = _Axis(first, last)
    people = tuple(
        PersonSheet(week, tuple(axis.day(day, view.days[n][0]) for n, day in enumerate(week.days)))
        for week in view.people
    )
    return WeekSheet(view, people, tuple(axis.hours()))


def _reach(view: WeekView) -> tuple[timedelta, timedelta]:
    """How long after midnight the earliest thing begins and the latest ends, in whole hours."""
    ends = [
        (at - midnight)
        for week in view.people
        for (midnight, _), day in zip(view.days, week.days, strict=True)
        for at in _instants(day)
    ]
    first, last = min([*ends, USUAL[0]]) - MARGIN, max([*ends, USUAL[1]]) + MARGIN
    hour = timedelta(hours=1)
    return max(timedelta(0), first // hour * hour), -(-last // hour) * hour


def _instants(day: DayHours) -> Iterable[datetime]:
    yield from (at for span in day.paid_spans for at in span)
    yield from (at for s in day.stretches for at in (s.start, s.end))


@dataclass(frozen=True)
class _Axis:
    """The hours of a day across the drawing, counted from its midnight."""

    first: timedelta
    last: timedelta

    def x(self, since_midnight: timedelta) -> float:
        """Where an instant of a day stands."""
        share = (since_midnight - self.first) / (self.last - self.first)
        return round(EDGE + share * (WIDE - 2 * EDGE), 1)

    def day(self, day: DayHours, midnight: datetime) -> DaySheet:
        """A day with its bands and lines."""
        bands = tuple((self.x(a - midnight), self.x(b - midnight)) for a, b in day.paid_spans)
        return DaySheet(day, bands, tuple(self._lines(day, midnight)))

    def _lines(self, day: DayHours, midnight: datetime) -> Iterator[Line]:
        for s in day.stretches:
            x, to_x = self.x(s.start - midnight), self.x(s.end - midnight)
            fits = to_x - x > LETTER * len(s.what) + 6
            yield Line(x, to_x, s.what if fits else "", s.shop)

    def hours(self) -> Iterator[tuple[float, int]]:
        """Every other hour with its place."""
        hour = timedelta(hours=1)
        for n in range(self.first // hour, self.last // hour + 1):
            if n % 2 == 0:
                yield self.x(n * hour), n % 24
