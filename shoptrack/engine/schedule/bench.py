"""A problem set out for the builders: hours of every crew, who comes after whom, what can't be planned."""

from dataclasses import dataclass
from functools import lru_cache

from shoptrack.engine.hours import Same
from shoptrack.engine.schedule.axis import Axis, hours_of
from shoptrack.engine.schedule.problem import crews_of, followers, in_order, trouble
from shoptrack.engine.schedule.profile import Profile
from shoptrack.engine.shapes.planned import Left, Problem, Uses


@dataclass(frozen=True, eq=False)
class Bench:
    """A problem with what every plan of it is made from.

    ``hands`` are of each task the minutes that hold its crew.
    ``uses`` and ``keeps`` say once of each thing how many a task has: until its end, and through its cure.
    ``crews`` are of each task the crews that could do it, ``axes`` the hours of each crew, ``hours`` of each
    worker and ``anybody`` of the shop. ``waits`` counts how many tasks each waits for. ``fixed`` are in hand
    now and stay where they are.
    """

    problem: Problem
    axes: dict[tuple[int, ...], Axis]
    hours: tuple[Axis, ...]
    anybody: Axis
    hands: tuple[int, ...]
    uses: tuple[Uses, ...]
    keeps: tuple[Uses, ...]
    crews: tuple[tuple[tuple[int, ...], ...], ...]
    followers: tuple[tuple[int, ...], ...]
    waits: tuple[int, ...]
    fixed: frozenset[int]
    left: tuple[Left, ...]
    profiles: tuple[Profile, ...]
    order: tuple[int, ...]

    def all_after(self, task: int) -> set[int]:
        """All tasks that come after one, directly or not; not what is in hand, nor what follows only that."""
        found: set[int] = set()
        left = list(self.followers[task])
        while left:
            n = left.pop()
            if n not in found and n not in self.fixed:
                found.add(n)
                left.extend(self.followers[n])
        return found


def bench_of(problem: Problem) -> Bench:
    """The bench of a problem; the same object again for one that was just asked for."""
    return _bench_of(Same(problem))


@lru_cache(maxsize=4)
def _bench_of(same: Same[Problem]) -> Bench:
    problem = same.it
    left = trouble(problem)
    out = {each.task for each in left}
    crews = tuple(() if n in out else crews_of(problem, task) for n, task in enumerate(problem.tasks))
    hours = hours_of(problem.workers)
    every = {crew for own in crews for crew in own if crew} | {t.begun for t in problem.tasks if t.begun}
    fixed = frozenset(n for n, task in enumerate(problem.tasks) if task.begun is not None)
    return Bench(
        problem=problem,
        axes={crew: hours.of(crew) for crew in every},
        hours=tuple(hours.of((w,)) for w in range(len(problem.workers))),
        anybody=hours.anybody,
        hands=tuple(task.hands_min for task in problem.tasks),
        uses=tuple(_in_all(t.uses, t.keeps if t.uses else ()) for t in problem.tasks),
        keeps=tuple(_in_all(t.keeps) for t in problem.tasks),
        crews=crews,
        followers=followers(problem),
        waits=tuple(len(task.after) for task in problem.tasks),
        fixed=fixed,
        left=tuple(each for each in left if each.task not in fixed),
        profiles=tuple(Profile(resource) for resource in problem.resources),
        order=in_order(problem),
    )


def _in_all(first: Uses, kept: Uses = ()) -> Uses:
    """How many of each thing that is used, those kept of the same thing with them."""
    found: dict[int, int] = {}
    for resource, amount in first:
        found[resource] = found.get(resource, 0) + amount
    for resource, amount in kept:
        if resource in found:
            found[resource] += amount
    return tuple(found.items())
