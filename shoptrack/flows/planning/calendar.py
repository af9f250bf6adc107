"""The shop's calendar → whole minutes from one instant on: when people are at work, days open and close."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property, lru_cache

from shoptrack.engine.hours import day_spans, instant, local, open_day
from shoptrack.engine.shapes import Calendar, World
from shoptrack.engine.shapes.planned import Minutes, Worker

HORIZON_DAYS = 365
"""So far ahead work is planned."""

Stretches = tuple[tuple[int, int, int], ...]
"""At work from when to when, and on which day."""

_DAY = timedelta(days=1)
_BACK_DAYS = 60
_MIDNIGHT = time(0)


class _Alike:
    """A calendar as a key of a cache: equal to every other that says the same, read again or not."""

    __slots__ = ("calendar", "hash", "said")

    def __init__(self, calendar: Calendar) -> None:
        self.calendar = calendar
        own = tuple(sorted(calendar.people.items()))
        self.said = (calendar.zone, calendar.shop, own, calendar.off, calendar.overtime)
        self.hash = hash(self.said)

    def __hash__(self) -> int:
        return self.hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Alike) and other.said == self.said


@dataclass(frozen=True)
class Timeline:
    """A calendar and the instant, a whole UTC minute, from which the minutes are counted."""

    calendar: Calendar
    start_at: datetime

    @cached_property
    def today(self) -> date:
        """The local day of minute nought."""
        return local(self.calendar, self.start_at).date()

    @property
    def horizon(self) -> int:
        """The last minute that is planned."""
        return HORIZON_DAYS * 24 * 60

    def floor(self, at: datetime) -> int:
        """The last whole minute at or before an instant."""
        return int((at - self.start_at).total_seconds() // 60)

    def ceil(self, at: datetime) -> int:
        """The first whole minute at or after an instant."""
        return -int((self.start_at - at).total_seconds() // 60)

    def instant(self, minute: int) -> datetime:
        """The instant of a minute (UTC)."""
        return self.start_at + timedelta(minutes=minute)

    def opens(self, on: date) -> int:
        """When the shop opens on a local day; where it stays shut, its midnight."""
        day = open_day(self.calendar, on)
        return self.ceil(day[0] if day else instant(self.calendar, on, _MIDNIGHT))

    def closes(self, on: date) -> int:
        """When the shop closes on a local day; where it stays shut, its last midnight."""
        day = open_day(self.calendar, on)
        return self.floor(day[1] if day else instant(self.calendar, on + _DAY, _MIDNIGHT))

    def due(self, promised_on: date, later_days: int = 0) -> int:
        """When the shop closes on a promised day, or on the last day before on which it is open.

        Takes the days by which others are later than was agreed.
        """
        on = promised_on + later_days * _DAY
        days = (on - n * _DAY for n in range(_BACK_DAYS))
        return self.closes(next((day for day in days if open_day(self.calendar, day)), on))

    @cached_property
    def next_middle_at(self) -> datetime:
        """The middle of the next day at work, today's where it is still to come; without any, from now."""
        for n in range(_BACK_DAYS):
            day = open_day(self.calendar, self.today + n * _DAY)
            if day is not None and (middle := day[0] + (day[1] - day[0]) / 2) >= self.start_at:
                return middle.replace(second=0, microsecond=0)
        return self.start_at


def timeline(calendar: Calendar, now: datetime) -> Timeline:
    """The minutes from the one that ``now`` is in."""
    return Timeline(calendar, now.astimezone(UTC).replace(second=0, microsecond=0))


def workers_of(world: World, line: Timeline) -> tuple[Worker, ...]:
    """Everybody who works here with their minutes of the coming year; days are counted from today.

    Empty: nobody works here.
    """
    alike, start = _Alike(line.calendar), _epoch_min(line.start_at)
    spans: dict[Stretches, tuple[Minutes, tuple[int, ...]]] = {}
    found = []
    for person in world.people.values():
        if not person.retired:
            year = _year(alike, person.id, line.today)
            if year not in spans:  # many have the same hours
                spans[year] = _from(year, start)
            found.append(Worker(person.id, person.name, *spans[year]))
    return tuple(found)


def _from(year: Stretches, start: int) -> tuple[Minutes, tuple[int, ...]]:
    """Stretches and their days from a minute on."""
    last = start + HORIZON_DAYS * 24 * 60
    left = [each for each in year if each[1] > start and each[0] < last]
    spans = tuple((max(a, start) - start, min(b, last) - start) for a, b, _ in left)
    return spans, tuple(day for _, _, day in left)


@lru_cache(maxsize=128)
def _year(alike: _Alike, person: int, today: date) -> Stretches:
    """Stretches of a year at work as (start, end, day): minutes since 1970, days since today."""
    joined: list[tuple[int, int, int]] = []
    for start, end, day in _stretches(alike.calendar, person, today):
        if joined and start <= joined[-1][1]:
            before = joined[-1]
            joined[-1] = (before[0], max(before[1], end), before[2])
        else:
            joined.append((start, end, day))
    return tuple(joined)


def _stretches(calendar: Calendar, person: int, today: date) -> Iterator[tuple[int, int, int]]:
    for n in range(-1, HORIZON_DAYS + 1):
        for start, end in day_spans(calendar, person, today + n * _DAY):
            yield _epoch_min(start), _epoch_min(end), n


def _epoch_min(at: datetime) -> int:
    return int(at.timestamp()) // 60
