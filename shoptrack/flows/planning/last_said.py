"""What waiting was last found to cost → the same for some minutes, while no day that it names has moved."""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from shoptrack.engine.shapes import Calendar
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight

FOR = timedelta(minutes=5)
"""So long what was found is said again: one person's tap need not try every other's reason anew."""
_SHOPS = 4

Piece = tuple[int, int, int]
"""A stage, which of its rounds, and by whom."""


@dataclass(frozen=True, slots=True)
class Cost:
    """A job that gets ready later, by working days or, within a day, minutes.

    ``late``: a promise is broken by it, or broken by a day more.
    """

    name: str
    days: int
    minutes: int
    late: bool


@dataclass(frozen=True, slots=True)
class Said:
    """What it costs not to begin a piece before ``until_at``, as it was tried at an instant.

    ``days`` are those on which its own job and those that it costs something were to be ready.
    """

    at: datetime
    until_at: datetime
    costs: tuple[Cost, ...]
    missed: bool
    days: Mapping[int, date | None]

    def holds(self, now: datetime, until_at: datetime, day_of: Callable[[int], date | None]) -> bool:
        """Whether it may be said again: it is not old, and no day that it names has moved."""
        fresh = self.until_at == until_at and timedelta(0) <= now - self.at < FOR
        return fresh and all(day_of(job) == day for job, day in self.days.items())


@dataclass(slots=True)
class _Shop:
    calendar: Calendar
    order: tuple[datetime, str]
    said: dict[Piece, Said] = field(default_factory=dict)


_LAST: OrderedDict[str, _Shop] = OrderedDict()


def last_said(sight: Sight, planned: Planned) -> dict[Piece, Said]:
    """What was said last of a shop, to be read and added to.

    Empty: the plan follows another order since, or the office changed something (then the calendar was read
    anew, so it is another object).
    """
    key, order = sight.head.database_id, (planned.made_at, planned.by)
    shop = _LAST.get(key)
    if shop is None or shop.calendar is not sight.world.calendar or shop.order != order:
        shop = _LAST[key] = _Shop(sight.world.calendar, order)
        while len(_LAST) > _SHOPS:
            _LAST.popitem(last=False)
    return shop.said
