"""Orders that are done → where their hours went: by kind of stage, of one pattern or of all."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.hours_spent import (
    SpentOnKind,
    orders_before,
    orders_in_log,
    spent_before,
    spent_in_log,
)
from shoptrack.store.log_names import pattern_names
from shoptrack.store.shop import shop_zone


@dataclass(frozen=True, slots=True)
class KindHours:
    """One kind of stage in those orders: its minutes, its share of all, and minutes for an average order.

    ``orders`` is how many of them had it.
    """

    kind: int
    name: str
    hands_min: float
    machine_min: float
    share: float
    each_min: float
    orders: int


@dataclass(frozen=True, slots=True)
class JobHours:
    """Where the hours of orders went, the most first; ``before`` of the orders are from before the log."""

    kinds: tuple[KindHours, ...]
    orders: int
    before: int
    hands_min: float
    machine_min: float
    since: date | None
    pattern: int | None
    patterns: tuple[tuple[int, str], ...]


def job_hours(session: Session, now: datetime, pattern: int | None = None, ever: bool = False) -> JobHours:
    """The hours of orders done in the last twelve months, or ever. Raises NotFound for no such pattern."""
    names = pattern_names(session)
    if pattern is not None and pattern not in names:
        raise NotFound("There is no such pattern.")
    zone = shop_zone(session)
    since = None if ever else _year_before(now.astimezone(zone).date())
    since_at = None if since is None else datetime.combine(since, time(0), zone)
    before = orders_before(session, since, pattern)
    orders = orders_in_log(session, since_at, pattern) + before
    spent = _added([*spent_in_log(session, since_at, pattern), *spent_before(session, since, pattern)])
    total = sum(one.hands_min for one in spent)
    kinds = tuple(_kind(one, total, orders) for one in sorted(spent, key=lambda s: -s.hands_min))
    machine = sum(one.machine_min for one in spent)
    return JobHours(kinds, orders, before, total, machine, since, pattern, tuple(names.items()))


def _kind(spent: SpentOnKind, total: float, orders: int) -> KindHours:
    return KindHours(
        spent.kind,
        spent.name,
        spent.hands_min,
        spent.machine_min,
        spent.hands_min / total if total else 0.0,
        spent.hands_min / orders,
        spent.orders,
    )


def _added(found: Iterable[SpentOnKind]) -> list[SpentOnKind]:
    kinds: dict[int, SpentOnKind] = {}
    for one in found:
        had = kinds.get(one.kind, SpentOnKind(one.kind, one.name, 0.0, 0.0, 0))
        kinds[one.kind] = SpentOnKind(
            one.kind,
            one.name,
            had.hands_min + one.hands_min,
            had.machine_min + one.machine_min,
            had.orders + one.orders,
        )
    return list(kinds.values())


def _year_before(on: date) -> date:
    return (
        on.replace(year=on.year - 1, day=28)
        if (on.month, on.day) == (2, 29)
        else on.replace(year=on.year - 1)
    )
