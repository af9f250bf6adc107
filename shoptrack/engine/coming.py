"""How orders come, and some that nobody has begun → a problem with those that nobody has given yet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt

import numpy as np

from shoptrack.engine.promise import Job
from shoptrack.engine.shapes.planned import Order, Problem, Task
from shoptrack.engine.shapes.promised import NEVER, NOBODY_COMES, Counts, Pace

WEEK_MIN = 7 * 1440
FOR_WEEKS = 3
"""So long orders come: what comes after that finds done what it could be in the way of."""
PAIRS = 200
"""So many pairs of orders must have been seen before what they say weighs as much as the usual share."""


@dataclass(frozen=True, slots=True, eq=False)
class Awaiting:
    """A problem with places for orders to come after its own, how their work is drawn, when each comes.

    ``known`` has the minute for each future and place, ``NEVER`` where the future leaves it empty. ``beside``
    has the tasks that have their turn right after that of a task there is.
    """

    problem: Problem
    jobs: tuple[Job, ...]
    known: Counts
    beside: Mapping[int, Sequence[int]]


def pace_of(orders: Sequence[tuple[int, int | None]], weeks: float) -> Pace:
    """How orders come, from those of some weeks as they came: the days on which each came and was ready.

    Takes day numbers; None: it is not ready yet. Empty: no orders, none come. Method: pairs that were open
    together and of which one is ready, with 200 of the usual share among them.
    """
    pairs = overtaken = 0
    ends = [NEVER if ready is None else ready for _, ready in orders]
    for n, ready in enumerate(ends):
        for (later, _), other in zip(orders[n + 1 :], ends[n + 1 :], strict=True):
            if later < ready and min(ready, other) < NEVER:
                pairs += 1
                overtaken += other < ready
    share = (overtaken + PAIRS * NOBODY_COMES.overtaken) / (pairs + PAIRS)
    return Pace(len(orders) / weeks, share)


def turn_of(priority: Sequence[int], awaiting: Awaiting) -> tuple[int, ...]:
    """An order of priority with the tasks to come that have their turn beside those that there are."""
    return tuple(n for task in priority for n in (task, *awaiting.beside.get(task, ())))


def add_coming(
    problem: Problem,
    jobs: Sequence[Job],
    like: Sequence[int],
    pace: Pace,
    draws: int,
    rng: np.random.Generator,
) -> Awaiting:
    """Add places for the orders of the next three weeks.

    Takes the orders (by place) that they may be like, in work and how it is drawn, and how they come. Most
    come last, left out of the order of priority: they take what the promised work leaves, but nobody leaves
    what is begun. As large a share as the pairs that were overtaken have their turn beside the order that
    they are like: in a crowded shop a plan lets short work pass. Method: a Poisson process, with places for
    three standard deviations more than the mean; the work of a place is like the same order in every future.
    Empty: no orders to be like, or none that come, no places.
    """
    mean = max(pace.per_week, 0.0) * FOR_WEEKS
    places = ceil(mean + 3 * sqrt(mean)) if like else 0
    chosen = [like[n] for n in rng.integers(0, max(len(like), 1), places)]
    seeds = rng.integers(0, 2**63, places)
    passing = rng.random(places) < pace.overtaken
    tasks, added = list(problem.tasks), []
    beside: dict[int, list[int]] = {}
    for n, order in enumerate(chosen):
        again = _again(problem, order, len(tasks), len(problem.orders) + n)
        for new, old in enumerate(again if passing[n] else (), start=len(tasks)):
            beside.setdefault(old, []).append(new)
        tasks += again.values()
        added += _drawn(
            jobs, {old: len(tasks) - len(again) + at for at, old in enumerate(again)}, int(seeds[n])
        )
    orders = (*problem.orders, *(Order("to come") for _ in chosen))
    gaps = rng.exponential(WEEK_MIN / pace.per_week, (draws, places)) if places else np.empty((draws, 0))
    at = np.cumsum(gaps, axis=1).astype(np.int64)
    known = np.where(at < FOR_WEEKS * WEEK_MIN, at, NEVER)
    return Awaiting(replace(problem, tasks=tuple(tasks), orders=orders), tuple(added), known, beside)


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
