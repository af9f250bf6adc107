"""Waits between tasks, and what is to be had: few missed waits, little lateness, orders ready early."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from shoptrack.engine.schedule.model_tasks import Known, Model
from shoptrack.engine.shapes.planned import Plan, Problem

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import IntVar, LinearExpr


@dataclass(frozen=True, slots=True)
class Goals:
    """What a plan of the model costs, in the order in which it counts."""

    missed: "LinearExpr | int"
    late: "LinearExpr | int"
    flow: "LinearExpr | int"


def add_goals(model: Model, plan: Plan) -> Goals:
    """Hold the waits, soft where ``plan`` misses them, and say what a plan costs."""
    missed = _add_waits(model, {(each.task, each.after) for each in plan.missed})
    ready = _add_ready(model)
    late = [model.problem.orders[n].weight * _lateness(model, n, at) for n, at in ready.items()]
    return Goals(sum(missed), sum(late), sum(ready.values()))


def _add_waits(model: Model, missed: set[tuple[int, int]]) -> "list[IntVar]":
    found = []
    for n, spot in model.spots.items():
        task = model.problem.tasks[n]
        if n in model.fixed:
            continue
        if task.latest is not None:
            found += _at_most(model, spot.start, task.latest, n, n, missed)
        for after in task.after:
            if after.task not in model.spots:
                continue
            end = model.spots[after.task].end
            model.cp.add(spot.start >= end + after.least)
            if after.greatest is not None:
                found += _at_most(model, spot.start, end + after.greatest, n, after.task, missed)
    return found


def _at_most(
    model: Model,
    start: "LinearExpr | int",
    most: "LinearExpr | int",
    n: int,
    after: int,
    missed: set[tuple[int, int]],
) -> "list[IntVar]":
    """A start no later than something; the literal that says it is, where it may be."""
    if (n, after) not in missed:
        model.cp.add(start <= most)
        return []
    task = model.problem.tasks[n]
    wait = next((a.greatest or 0 for a in task.after if a.task == after), 0)
    late = model.either(
        lambda at: int(at[n].start > (at[after].end + wait if after != n else task.latest or 0))
    )
    model.cp.add(start <= most).only_enforce_if(~late)
    return [late]


def _add_ready(model: Model) -> "dict[int, LinearExpr | int]":
    """When each order is ready."""
    found: dict[int, LinearExpr | int] = {}
    last = _last(model)
    for order, cap in model.caps.items():
        own = [n for n in model.spots if model.problem.tasks[n].order == order and n in last]
        ready = model.number([(0, cap)], _known_ready(model.problem, order))
        for n in own:
            model.cp.add(ready >= model.spots[n].end + model.problem.tasks[n].tail)
        found[order] = ready
    return found


def _last(model: Model) -> set[int]:
    """The tasks after which their order may be ready: no other of it comes later for sure."""
    tasks = model.problem.tasks
    found = set(model.spots)
    for n in model.spots:
        if n in model.fixed:
            continue
        for after in tasks[n].after:
            before = tasks[after.task]
            later = after.least + tasks[n].work + tasks[n].tail >= before.tail
            if before.order == tasks[n].order and later:
                found.discard(after.task)
    return found


def _lateness(model: Model, n: int, ready: "LinearExpr | int") -> "LinearExpr | int":
    order = model.problem.orders[n]
    due, cap = order.due, model.caps[n]
    if due is None or cap <= due or not order.weight:
        return 0
    known = _known_ready(model.problem, n)
    late = model.number([(0, cap - due)], lambda at: max(0, known(at) - due))
    model.cp.add(late >= ready - due)
    return late


def _known_ready(problem: Problem, order: int) -> Known:
    own = [n for n, task in enumerate(problem.tasks) if task.order == order]
    return lambda at: max(at[n].end + problem.tasks[n].tail for n in own if n in at)
