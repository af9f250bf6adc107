"""The shop's time on the wall: weeks, days off, zone."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time


@dataclass(frozen=True, slots=True)
class Week:
    """Working spans of each weekday (Monday first) from a local date on; local wall times, in order."""

    from_on: date
    days: tuple[tuple[tuple[time, time], ...], ...]


@dataclass(frozen=True, slots=True)
class OffDays:
    """Days on which nobody (person None) or one person works, both ends included."""

    person: int | None
    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True)
class Overtime:
    """Hours worked on one day on top of the week, by one person or (None) by everybody; local wall times.

    They hold on a day off too.
    """

    person: int | None
    on: date
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class Calendar:
    """The shop's zone, its weeks, each person's own weeks (else the shop's), days off and overtime."""

    zone: str
    shop: tuple[Week, ...]
    people: Mapping[int, tuple[Week, ...]] = field(default_factory=dict)
    off: tuple[OffDays, ...] = ()
    overtime: tuple[Overtime, ...] = ()
