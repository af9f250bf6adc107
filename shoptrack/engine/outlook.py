"""A shop with its plan and what is foretold of its stages → when each order will be ready, and how surely."""

from dataclasses import dataclass

import numpy as np

from shoptrack.engine.coming import add_coming, turn_of
from shoptrack.engine.promise import DRAWS, Job, draw_work, foresee, promise_of, threats
from shoptrack.engine.shapes.planned import Problem
from shoptrack.engine.shapes.promised import NEVER, NOBODY_COMES, Coming, Counts, Pace, Promise, Threat

VERSION = "3"
"""Raised whenever the same ask would be answered otherwise."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is asked: a problem, the order of priority of its tasks, and how its stages' minutes are drawn.

    The first ``given`` orders are asked about. Each further one is a quote that is out: it becomes an order
    with the chance in ``taken``. ``likeness`` is ρ of the shop, ``seed`` says which of those are taken.
    More orders come at a ``pace``, each ``like`` one of the problem's that nobody has begun.
    """

    problem: Problem
    priority: tuple[int, ...]
    jobs: tuple[Job, ...]
    given: int
    likeness: float
    taken: tuple[float, ...] = ()
    seed: int = 1
    draws: int = DRAWS
    pace: Pace = NOBODY_COMES
    like: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """When each order that was asked about is ready in each future, (draws, orders), and what follows.

    ``promises`` and ``threats`` are of each order, in their order.
    """

    ready: Counts
    promises: tuple[Promise, ...]
    threats: tuple[tuple[Threat, ...], ...]


def look_ahead(ahead: Ahead) -> Outlook:
    """Run the futures of a shop. The same ask has the same answer.

    Empty: no orders, an outlook without any. Method: minutes by engine.promise, every future by dispatch;
    whether a quote is taken is drawn for itself, so that one more moves nothing of the others.
    """
    rng = np.random.default_rng((ahead.seed, 0, 0))
    later = add_coming(ahead.problem, ahead.jobs, ahead.like, ahead.pace, ahead.draws, rng)
    problem, jobs = later.problem, (*ahead.jobs, *later.jobs)
    work = draw_work([task.work for task in problem.tasks], jobs, ahead.likeness, ahead.draws)
    futures = foresee(
        problem,
        turn_of(ahead.priority, later),
        work,
        Coming(ahead.given, np.hstack([_known(ahead), later.known])),
    )
    own = work[:, : len(ahead.problem.tasks)]
    dues = [order.due for order in problem.orders[: ahead.given]]
    return Outlook(
        futures.ready,
        tuple(promise_of(futures, n, due) for n, due in enumerate(dues)),
        tuple(threats(ahead.problem, futures, own, n) for n in range(ahead.given)),
    )


def _known(ahead: Ahead) -> Counts:
    """In which future each order of the problem is known: always, but for a quote only where it is taken."""
    known = np.zeros((ahead.draws, len(ahead.problem.orders)), dtype=np.int64)
    for n, chance in enumerate(ahead.taken):
        rng = np.random.default_rng((ahead.seed, n))
        known[:, ahead.given + n] = np.where(rng.random(ahead.draws) < chance, 0, NEVER)
    return known
