"""How often orders come, and some that nobody has begun → a problem with those that nobody has given yet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt

import numpy as np

from shoptrack.engine.promise import Job
from shoptrack.engine.shapes.planned import Order, Problem, Task
from shoptrack.engine.shapes.promised import NEVER, Counts

WEEK_MIN = 7 * 1440
FOR_WEEKS = 3
"""So long orders come: what comes after that finds done what it could be in the way of."""


@dataclass(frozen=True, slots=True, eq=False)
class Awaiting:
    """A problem with places for orders to come after its own, how their work is drawn, when each comes.

    ``known`` has the minute for each future and place, ``NEVER`` where the future leaves it empty.
    """

    problem: Problem
    jobs: tuple[Job, ...]
    known: Counts


def add_coming(
    problem: Problem,
    jobs: Sequence[Job],
    like: Sequence[int],
    per_week: float,
    draws: int,
    rng: np.random.Generator,
) -> Awaiting:
    """Add places for the orders of the next three weeks.

    Takes the orders (by place) that they may be like, in work and how it is drawn, and how many come a week.
    Left out of the order of priority their tasks come last: they take what the promised work leaves, but
    nobody leaves what is begun. Method: a Poisson process, with places for three standard deviations more
    than the mean; the work of a place is like the same order in every future. Empty: no orders to be like, or
    none that come, no places.
    """
    mean = max(per_week, 0.0) * FOR_WEEKS
    places = ceil(mean + 3 * sqrt(mean)) if like else 0
    chosen = [like[n] for n in rng.integers(0, max(len(like), 1), places)]
    seeds = rng.integers(0, 2**63, places)
    tasks, added = list(problem.tasks), []
    for n, order in enumerate(chosen):
        again = _again(problem, order, len(tasks), len(problem.orders) + n)
        tasks += again.values()
        added += _drawn(
            jobs, {old: len(tasks) - len(again) + at for at, old in enumerate(again)}, int(seeds[n])
        )
    orders = (*problem.orders, *(Order("to come") for _ in chosen))
    gaps = rng.exponential(WEEK_MIN / per_week, (draws, places)) if places else np.empty((draws, 0))
    at = np.cumsum(gaps, axis=1).astype(np.int64)
    known = np.where(at < FOR_WEEKS * WEEK_MIN, at, NEVER)
    return Awaiting(replace(problem, tasks=tuple(tasks), orders=orders), tuple(added), known)


def _again(problem: Problem, like: int, first: int, order: int) -> dict[int, Task]:
    """An order's tasks as those of one that is not begun, from number ``first`` on, by which each is like."""
    own = [n for n, task in enumerate(problem.tasks) if task.order == like]
    place = {n: first + at for at, n in enumerate(own)}
    return {n: _fresh(problem.tasks[n], order, place) for n in own}


def _fresh(task: Task, order: int, place: dict[int, int]) -> Task:
    after = tuple(replace(a, task=place[a.task]) for a in task.after if a.task in place)
    return replace(task, order=order, after=after, earliest=0, latest=None, begun=None)


def _drawn(jobs: Sequence[Job], place: dict[int, int], seed: int) -> list[Job]:
    """The draws of an order's stages for another, by the places of its tasks there."""
    found = []
    for n, job in enumerate(jobs):
        stages = tuple(
            replace(each, part=replace(each.part, spent_min=0.0), tasks=tuple(place[t] for t in each.tasks))
            for each in job.stages
            if each.tasks and all(t in place for t in each.tasks)
        )
        if stages:
            found.append(Job(stages, seed + n))
    return found
