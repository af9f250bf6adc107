"""Minutes drawn for all that is to be done → when orders are ready, with what chance, what threatens them.

Method: every future takes its own minutes and is run by dispatch (engine.dispatch), so that nobody in it
knows what is to come. Common random numbers: an order's draws depend on its own seed alone, so that a quote
more, or a task less elsewhere, moves no other order's draws.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from shoptrack.engine.dispatch import REDO_MIN, ends_of, ready_of
from shoptrack.engine.dispatch.tables import tabulate
from shoptrack.engine.shapes.learned import Floats
from shoptrack.engine.shapes.planned import Problem
from shoptrack.engine.shapes.promised import NEVER, Coming, Counts, Futures, Promise, Threat
from shoptrack.engine.totals import Part, draw_min

DRAWS = 500
LEAST_SHARE = 12.0
"""A threat is told of where its share is above this over the draws: by chance 1 in 2,000 is (χ², 1 df)."""


@dataclass(frozen=True, slots=True)
class Unsure:
    """A stage whose minutes are to be drawn, and the tasks that are made of it.

    ``shares`` say what part of the minutes still to come each task has: by count of its round, divided by
    the people at it together. ``again`` is the chance that it is spoiled and done once more.
    """

    part: Part
    tasks: tuple[int, ...]
    shares: tuple[float, ...]
    again: float = 0.0


@dataclass(frozen=True, slots=True)
class Job:
    """The stages of one order that are drawn together, by the order's own ``seed``.

    ``surprises`` are those of its stages that are done.
    """

    stages: tuple[Unsure, ...]
    seed: int
    surprises: tuple[float, ...] = ()


def draw_work(fixed_min: Sequence[int], jobs: Sequence[Job], rho: float, draws: int = DRAWS) -> Counts:
    """Minutes of every task in every future, (draws, tasks).

    Takes the minutes of each task, which stay where no stage draws it (a rest), and ρ of the shop. Rounds of
    one stage share its draw; a task that several stages share in, done together, has the sum of its shares.
    Empty: no tasks, no columns. A task that is drawn has a minute at least.
    """
    minutes = np.tile(np.asarray(fixed_min, dtype=np.float64), (draws, 1))
    told = sorted({task for job in jobs for stage in job.stages for task in stage.tasks})
    minutes[:, told] = 0.0
    for job in jobs:
        rng = np.random.default_rng(job.seed)
        drawn = draw_min([each.part for each in job.stages], rho, rng, draws, job.surprises)
        for n, stage in enumerate(job.stages):
            rest = drawn[:, n] - stage.part.spent_min
            if stage.again:
                rest = rest + drawn[:, n] * (rng.random(draws) < stage.again)
            for task, share in zip(stage.tasks, stage.shares, strict=True):
                minutes[:, task] += rest * share
    minutes[:, told] = np.maximum(np.rint(minutes[:, told]), 1.0)
    return minutes.astype(np.int64)


def foresee(
    problem: Problem,
    priority: Sequence[int],
    work_min: Counts,
    coming: Coming | None = None,
    redo_min: int = REDO_MIN,
) -> Futures:
    """Run every future.

    Takes the tasks in order of priority and their minutes, (draws, tasks). With ``coming`` orders are known
    when it says, and only those given are asked about. Empty: no draws, no futures.
    """
    tables = tabulate(problem, priority, redo_min)
    given = len(problem.orders) if coming is None else coming.given
    found = np.full((len(work_min), given), NEVER, dtype=np.int64)
    by_rank = np.asarray(work_min)[:, tables.task_at] if len(tables.task_at) else np.asarray(work_min)
    for n, minutes in enumerate(by_rank.tolist()):
        known = None if coming is None else coming.known[n].tolist()
        found[n] = ready_of(tables, ends_of(tables, minutes, known, given))[:given]
    return Futures(found)


def chance_by(futures: Futures, order: int, minute: int) -> float:
    """The share of the futures in which an order is ready by a minute. Empty: not a number."""
    ready = futures.ready[:, order]
    return float(np.mean(ready <= minute)) if len(ready) else float("nan")


def kept_by(futures: Futures, order: int, share: float) -> int | None:
    """The first minute by which such a share of the futures has an order ready; None: there is none."""
    ready = np.sort(futures.ready[:, order])
    if not len(ready):
        return None
    at = int(ready[max(int(np.ceil(share * len(ready) - 1e-9)), 1) - 1])
    return at if at < NEVER else None


def promise_of(futures: Futures, order: int, due: int | None = None) -> Promise:
    """The minutes that a promise may be made for, and the chance of one that was made."""
    p50, p80, p90 = (kept_by(futures, order, share) for share in (0.5, 0.8, 0.9))
    return Promise(p50, p80, p90, None if due is None else chance_by(futures, order, due))


def threats(
    problem: Problem, futures: Futures, work_min: Counts, order: int, most: int = 3
) -> tuple[Threat, ...]:
    """What an order's being late goes with, the strongest first.

    Method: the squared correlation of ranks between when it is ready and the minutes of each task of its own,
    the sum of each other order's, and the sum of what other orders do at each resource that it needs. Ranks
    stand in for logarithms: they are the same for both, and a future that never comes to it is the last. Each
    is taken alone, so shares may add up to more than 1: stages of a job run long together. Empty: none, where
    nothing varies or stands out from chance.
    """
    late = _standardised(futures.ready[:, order])
    if late is None or len(late) < 2:
        return ()
    found = []
    for kind, place, minutes in _suspects(problem, np.asarray(work_min), order):
        own = _standardised(minutes)
        along = 0.0 if own is None else float(np.mean(own * late))
        if along > 0 and along**2 * len(late) > LEAST_SHARE:
            found.append(Threat(kind, place, along**2))
    return tuple(sorted(found, key=lambda each: -each.share)[:most])


def _suspects(
    problem: Problem, work_min: Counts, order: int
) -> Iterator[tuple[Literal["task", "order", "resource"], int, Counts]]:
    """What may make an order late, with its minutes in each future."""
    of_order = np.array([task.order for task in problem.tasks])
    for n in np.flatnonzero(of_order == order):
        yield "task", int(n), work_min[:, n]
    for other in range(len(problem.orders)):
        if other != order:
            yield "order", other, work_min[:, of_order == other].sum(axis=1)
    needs = [frozenset(r for r, _ in (*task.uses, *task.keeps)) for task in problem.tasks]
    for resource in sorted(frozenset().union(*(needs[n] for n in np.flatnonzero(of_order == order)))):
        others = [n for n, own in enumerate(needs) if resource in own and of_order[n] != order]
        yield "resource", resource, work_min[:, others].sum(axis=1)


def _standardised(values: Counts) -> Floats | None:
    """Ranks with mean 0 and variance 1, ties at their middle; None: all are the same."""
    _, places, counts = np.unique(values, return_inverse=True, return_counts=True)
    if len(counts) < 2:
        return None
    ranks = (np.cumsum(counts) - counts / 2.0)[places.ravel()]
    return np.asarray((ranks - ranks.mean()) / ranks.std())
