"""A problem set out for the builders: hours of every crew, who comes after whom, what can't be planned."""

from dataclasses import dataclass
from functools import lru_cache

from shoptrack.engine.hours import Same
from shoptrack.engine.schedule.axis import Axis, anybody, axis_of, in_common
from shoptrack.engine.schedule.problem import crews_of, followers, in_order, trouble
from shoptrack.engine.schedule.profile import Profile
from shoptrack.engine.shapes.planned import Left, Problem


@dataclass(frozen=True, eq=False)
class Bench:
    """A problem with what every plan of it is made from.

    ``crews`` are of each task the crews that could do it, ``axes`` the hours of each crew, ``hours`` of each
    worker and ``anybody`` of the shop. ``waits`` counts how many tasks each waits for. ``fixed`` are in hand
    now and stay where they are.
    """

    problem: Problem
    axes: dict[tuple[int, ...], Axis]
    hours: tuple[Axis, ...]
    anybody: Axis
    crews: tuple[tuple[tuple[int, ...], ...], ...]
    followers: tuple[tuple[int, ...], ...]
    waits: tuple[int, ...]
    fixed: frozenset[int]
    left: tuple[Left, ...]
    profiles: tuple[Profile, ...]
    order: tuple[int, ...]

    def all_after(self, task: int) -> set[int]:
        """All tasks that come after one, directly or not."""
        found: set[int] = set()
        left = list(self.followers[task])
        while left:
            n = left.pop()
            if n not in found:
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
    axes = {crew: in_common([problem.workers[w] for w in crew]) for own in crews for crew in own if crew}
    for task in problem.tasks:
        if task.begun and task.begun not in axes:
            axes[task.begun] = in_common([problem.workers[w] for w in task.begun])
    fixed = frozenset(n for n, task in enumerate(problem.tasks) if task.begun is not None)
    return Bench(
        problem=problem,
        axes=axes,
        hours=tuple(axis_of(worker) for worker in problem.workers),
        anybody=anybody(problem.workers),
        crews=crews,
        followers=followers(problem),
        waits=tuple(len(task.after) for task in problem.tasks),
        fixed=fixed,
        left=tuple(each for each in left if each.task not in fixed),
        profiles=tuple(Profile(resource) for resource in problem.resources),
        order=in_order(problem),
    )
