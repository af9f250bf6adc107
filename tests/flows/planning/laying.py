"""The small invented shop of the engine's tests, seen by a flow and laid out as a problem."""

from collections.abc import Sequence
from datetime import datetime

from shoptrack.engine.replay import replay
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes import World
from shoptrack.engine.shapes.planned import Placed, Plan, Task
from shoptrack.engine.states import stand
from shoptrack.flows.learning import Learned
from shoptrack.flows.planning.changes import Change
from shoptrack.flows.planning.laid import Laid, lay
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.db import Head
from tests.engine.shop import Pencil, at


def seen(world: World, book: Pencil, when: str | datetime, known: Learned | None = None) -> Sight:
    """The shop at a wall time, "wed 8:00" as of the week of Tuesday, 10 March 2026."""
    now = at(when) if isinstance(when, str) else when
    state = replay(book.entries, world, now)
    return Sight(now, Head("a-shop", 1), world, tuple(book.entries), state, stand(state, world), known)


def laid_at(world: World, when: str | datetime, book: Pencil | None = None, *changes: Change) -> Laid:
    """The problem at a wall time."""
    return lay(seen(world, book or Pencil(), when), changes)


def tasks(laid: Laid, stage: int) -> list[Task]:
    """The tasks of a stage that have work in them."""
    return [laid.problem.tasks[n] for n in laid.tasks_of.get(stage, ())]


def past(laid: Laid) -> list[Task]:
    """The tasks of rounds closed already."""
    return [laid.problem.tasks[n] for n in sorted(laid.past)]


def planned(laid: Laid, priority: Sequence[int] | None = None) -> Plan:
    """A plan of it that breaks no rule."""
    plan = build(laid.problem, range(len(laid.problem.tasks)) if priority is None else priority)
    assert check(laid.problem, plan) == ()
    return plan


def placed(laid: Laid, stage: int, plan: Plan | None = None) -> list[Placed]:
    """Where the tasks of a stage are in a plan."""
    by_task = {each.task: each for each in (plan or planned(laid)).placed}
    return [by_task[n] for n in laid.tasks_of[stage]]


def wall(laid: Laid, when: str) -> int:
    """The minute of a wall time."""
    return laid.minutes(at(when))
