"""Glue-ups and coats that could be closed before tonight → what the night is worth to each, by trying."""

from collections.abc import Iterable
from dataclasses import dataclass

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import Placed, Plan, Problem, Task


@dataclass(frozen=True, slots=True)
class Night:
    """A task that cures in a night: where it would go today, and what waiting for the next opening costs.

    ``late_min`` is weighted lateness and ``flow_min`` the sum over orders of how much later they are ready;
    ``later_min`` is that of each order.
    """

    placed: Placed
    late_min: int
    flow_min: int
    later_min: tuple[int, ...]


def nights_of(
    problem: Problem, plan: Plan, tasks: Iterable[int], closing: int, opening: int
) -> tuple[Night, ...]:
    """What the coming night gains for each task that can still be closed before it, the most first.

    Takes tasks that cure; ``closing`` is when the last goes home today, ``opening`` when the next comes.
    Gives those that find hands, clamps and dry air today and whose order would suffer if they waited. Empty:
    none. Method: each is tried first of all, then not before the opening, and the two plans are compared.
    """
    found = []
    for n in tasks:
        first = (n, *(other for other in plan.priority if other != n))
        tonight = build(problem, first)
        place = next((p for p in tonight.placed if p.task == n), None)
        if place is None or place.end > closing or tonight.worth.missed > plan.worth.missed:
            continue
        later = build(problem, first, {n: opening})
        found.append(
            Night(
                place,
                later.worth.late - tonight.worth.late,
                later.worth.flow - tonight.worth.flow,
                tuple(
                    0 if a is None or b is None else b - a
                    for a, b in zip(tonight.ready, later.ready, strict=True)
                ),
            )
        )
    gains = [night for night in found if night.late_min > 0 or night.flow_min > 0]
    return tuple(sorted(gains, key=lambda night: (-night.late_min, -night.flow_min, night.placed.task)))


def cures_overnight(problem: Problem, n: int) -> bool:
    """Whether a task leaves something to cure: clamps to hang, a coat to dry, a wait before what follows."""
    task: Task = problem.tasks[n]
    waits = (a.least for other in problem.tasks for a in other.after if a.task == n)
    return bool(task.off or task.wet or task.tail or any(least > 0 for least in waits))
