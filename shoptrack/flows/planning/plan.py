"""How the shop stands → the plan that is shown for it: at once after a change, a better one once it is found.

What is kept is an order of priority, by stage and round. It is decoded anew for each minute, so what is in
hand is never moved and what somebody did instead is simply there. For one state of the log the order stays
the same until a better one is found, so that equal numbers mean equal plans.
"""

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from secrets import randbits
from threading import RLock
from weakref import WeakKeyDictionary

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.rules import best_rule, earliest_date, rules
from shoptrack.engine.shapes.planned import Plan, Problem, Worth
from shoptrack.flows.planning.laid import Laid, lay
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.db import Head, Store

LOGGER = logging.getLogger("shoptrack.planned")

Key = tuple[int, int]
"""A stage, and which of its rounds to come."""
Dates = frozenset[tuple[int, datetime | None, int]]
"""Jobs, when each is due, and what a minute past that weighs."""


@dataclass(frozen=True, eq=False)
class Planned:
    """A plan for a state of the shop, with the problem that it solves.

    ``made_at`` is when its order was found, ``by`` which engine; ``stale``: for the log as it was earlier,
    and nothing better is known yet. ``number`` is another whenever what is shown may be another.
    """

    laid: Laid
    plan: Plan
    made_at: datetime
    number: int
    head: Head
    stale: bool = False

    @property
    def by(self) -> str:
        """The engine that found it."""
        return self.plan.by

    @property
    def proven(self) -> bool:
        """Whether there is none better."""
        return self.plan.proven

    @cached_property
    def rule(self) -> Plan:
        """What the shop would do without a plan: what was promised first comes first."""
        return earliest_date(self.laid.problem)


@dataclass(frozen=True, slots=True)
class _Order:
    """The order that is followed for one state (``mark``) of the log and of what was learned.

    ``not_before`` are starts to be kept by what must be followed soon. ``dates`` are those by which a rule
    made it. ``proven`` has when each job was ready in a plan than which there is none better.
    """

    mark: tuple[Head, str]
    keys: tuple[Key, ...]
    number: int
    made_at: datetime
    stale: bool
    by: str = "rule"
    dates: Dates = frozenset()
    not_before: Mapping[Key, datetime] = field(default_factory=dict)
    proven: Mapping[int, datetime] | None = None


@dataclass(slots=True)
class _Kept:
    """What is kept of one store."""

    order: _Order | None = None
    planned: Planned | None = None
    asked: object = None
    number: int = field(default_factory=lambda: randbits(31))


def plan_now(store: Store, sight: Sight) -> Planned:
    """The plan to show: the last one again where nothing moved, else the kept order for this minute.

    Empty: nothing to be planned gives a plan without tasks.
    """
    asked = (_mark(sight), sight.now.replace(second=0, microsecond=0))
    with _TURN:
        kept = _KEPT.setdefault(store, _Kept())
        if kept.planned is None or kept.asked != asked:
            laid = lay(sight)
            kept.order, plan = _order_for(kept, sight, laid)
            kept.planned = _planned(kept.order, laid, sight.now, plan)
            kept.asked = asked
        return kept.planned


def shown_number(store: Store, head: Head, learned: str) -> int | None:
    """The number of the plan that is shown for a state of the log; None before there is one."""
    kept = _KEPT.get(store)
    order = kept.order if kept else None
    return order.number if order is not None and order.mark == (head, learned) else None


def offer(store: Store, laid: Laid, plan: Plan, now: datetime) -> bool:
    """Take over a plan that was found for a problem, where its order is the better one for the shop as it is.

    The log may have moved on since. Gives whether it was taken.
    """
    if broken := check(laid.problem, plan):
        LOGGER.error("A plan by %s was dropped: %s", plan.by, " ".join(broken[:3]))
        return False
    with _TURN:
        kept = _KEPT.get(store)
        if kept is None or kept.planned is None or kept.order is None:
            return False
        order = _found(kept, laid, plan, now)
        at = kept.planned.laid
        better = _planned(order, at, now, decoded(order, at))
        same = better.plan.worth == kept.planned.plan.worth
        if better.plan.worth > kept.planned.plan.worth or (same and not better.proven):
            return False
        if same:  # nothing is gained by another order, so the old one stays, now known to be best
            order = replace(order, keys=kept.order.keys, not_before=kept.order.not_before)
            better = _planned(order, at, now, replace(kept.planned.plan, proven=True))
        kept.number, kept.order, kept.planned = order.number, order, better
        return True


def settled(store: Store) -> None:
    """Nothing better was found for this state of the log: the order that is shown is no longer an old one."""
    with _TURN:
        kept = _KEPT.get(store)
        if kept is not None and kept.order is not None and kept.planned is not None:
            kept.order = replace(kept.order, stale=False)
            kept.planned = replace(kept.planned, stale=False)


def _mark(sight: Sight) -> tuple[Head, str]:
    return sight.head, sight.learned.version if sight.learned else ""


def _order_for(kept: _Kept, sight: Sight, laid: Laid) -> tuple[_Order, Plan]:
    """The order that is kept, where it is for this state of the log or carried over from an earlier one.

    By the dates it is made anew, where that is better, for jobs and dates that no rule has seen yet. So a tap
    takes one decode; what the worker found is carried over whatever came: it soon looks again.
    """
    old, mark = kept.order, _mark(sight)
    if old is not None and old.mark == mark:
        return old, decoded(old, laid)
    kept.number += 1
    if old is None or old.mark[0].database_id != sight.head.database_id:
        order = _by_rule(kept, sight, laid, best_rule(laid.problem))
        return order, decoded(order, laid)
    carried = replace(old, mark=mark, number=kept.number, stale=True, proven=None)
    plan = decoded(carried, laid)
    if old.by != "rule" or _dates(laid) <= old.dates:
        return carried, plan
    order = _by_rule(kept, sight, laid, earliest_date(laid.problem))
    other = decoded(order, laid)
    return (order, other) if other.worth < plan.worth else (replace(carried, dates=order.dates), plan)


def _by_rule(kept: _Kept, sight: Sight, laid: Laid, rule: Plan) -> _Order:
    """The order of a rule's plan."""
    keys = keys_of(laid.problem, rule)
    return _Order(_mark(sight), keys, kept.number, sight.now, stale=False, dates=_dates(laid))


def _dates(laid: Laid) -> Dates:
    return frozenset(
        (order.job, None if order.due is None else laid.instant(order.due), order.weight)
        for order in laid.problem.orders
    )


def _found(kept: _Kept, laid: Laid, plan: Plan, now: datetime) -> _Order:
    assert kept.order is not None
    ready = {
        laid.problem.orders[n].job: laid.instant(at) for n, at in enumerate(plan.ready) if at is not None
    }
    return _Order(
        mark=kept.order.mark,
        keys=keys_of(laid.problem, plan),
        number=kept.number + 1,
        made_at=now,
        stale=False,
        by=plan.by,
        not_before=_followed_soon(laid, plan),
        proven=ready if plan.proven else None,
    )


def _planned(order: _Order, laid: Laid, now: datetime, plan: Plan) -> Planned:
    if broken := check(laid.problem, plan):
        LOGGER.error("A plan by %s was dropped: %s", plan.by, " ".join(broken[:3]))
        plan = Plan((), Worth(0, 0, 0), (None,) * len(laid.problem.orders))
    made_at = min(order.made_at, now)
    return Planned(laid, plan, made_at, order.number, order.mark[0], order.stale)


def decoded(order: _Order, laid: Laid) -> Plan:
    """The plan that an order gives for a problem: the better one of with and without the starts it keeps.

    Where they are kept without being asked for, one decode shows it.
    """
    problem, places = laid.problem, _places(laid.problem)
    priority = merged(order.keys, problem)
    plan = build(problem, priority, by=order.by)  # type: ignore[arg-type] # one of the engines' names
    minutes = {
        places[key]: laid.minutes(at)
        for key, at in order.not_before.items()
        if key in places and at > laid.start_at
    }
    if any(p.start < minutes.get(p.task, 0) for p in plan.placed):
        other = build(problem, priority, minutes, by=order.by)  # type: ignore[arg-type]
        plan = min(plan, other, key=lambda each: each.worth)
    return replace(plan, proven=order.proven is not None and _as_proven(order.proven, laid, plan))


def _as_proven(proven: Mapping[int, datetime], laid: Laid, plan: Plan) -> bool:
    """Whether no job is ready later than in the plan that was proven best."""
    return all(
        at is None or laid.instant(at) <= proven.get(order.job, laid.start_at)
        for order, at in zip(laid.problem.orders, plan.ready, strict=True)
    )


def keys_of(problem: Problem, plan: Plan) -> tuple[Key, ...]:
    """The order of a plan in words that another state of the log understands."""
    tasks = (problem.tasks[n] for n in plan.priority)
    return tuple((task.stage, task.part) for task in tasks if task.begun is None)


def merged(keys: Sequence[Key], problem: Problem) -> tuple[int, ...]:
    """An order for a problem that may have other tasks: a new one comes where the dates would put it."""
    places = _places(problem)
    known = [places[key] for key in keys if key in places]
    if len(known) == len(places):
        return tuple(known)
    behind: dict[int, list[int]] = {-1: []}
    behind.update((n, []) for n in known)
    last = -1
    for n in rules(problem)["earliest date"]:
        if n in behind:
            last = n
        elif problem.tasks[n].begun is None:
            behind[last].append(n)
    return tuple(each for n in (-1, *known) for each in (n, *behind[n]) if each >= 0)


def _places(problem: Problem) -> dict[Key, int]:
    """The tasks that are still to begin, by their keys."""
    return {(t.stage, t.part): n for n, t in enumerate(problem.tasks) if t.begun is None}


def _followed_soon(laid: Laid, plan: Plan) -> dict[Key, datetime]:
    """The starts of tasks that another must follow within so long."""
    tasks = laid.problem.tasks
    soon = {after.task for task in tasks for after in task.after if after.greatest is not None}
    return {
        (tasks[p.task].stage, tasks[p.task].part): laid.instant(p.start)
        for p in plan.placed
        if p.task in soon and tasks[p.task].begun is None
    }


_TURN = RLock()
_KEPT: WeakKeyDictionary[Store, _Kept] = WeakKeyDictionary()
