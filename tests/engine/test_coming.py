"""Orders that nobody has given yet: how many, when, whose work, and that they move no other draws."""

import math

import numpy as np
import pytest

from shoptrack.engine.coming import FOR_WEEKS, PAIRS, WEEK_MIN, Awaiting, add_coming, pace_of, turn_of
from shoptrack.engine.promise import Job, Unsure, draw_work, foresee
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.planned import After, Order, Problem, Task, Worker
from shoptrack.engine.shapes.promised import NEVER, Coming, Pace
from shoptrack.engine.totals import Part

HALF_HOUR = Prediction(12.0, math.log(30.0), 0.3)
SHOP = Problem(
    (
        Task(0, 400, begun=(0,)),
        Task(1, 30, earliest=50, latest=900),
        Task(1, 60, after=(After(1, 10, 500), After(0, 5))),
    ),
    (Order("a"), Order("b", due=2000)),
    (Worker(0, "Ada", ((0, 4 * WEEK_MIN),), (0,)),),
    (),
    4 * WEEK_MIN,
)
JOBS = (
    Job((Unsure(Part(HALF_HOUR), (1,), (1.0,), 0.1),), 7, (0.5,)),
    Job((Unsure(Part(HALF_HOUR), (1, 0), (0.5, 0.5)),), 8),
)


def coming(
    per_week: float, draws: int = 8, like: tuple[int, ...] = (1,), overtaken: float = 0.15
) -> Awaiting:
    return add_coming(SHOP, JOBS, like, Pace(per_week, overtaken), draws, np.random.default_rng(1))


def test_places_are_numbered_behind_what_is_there() -> None:
    """A mean of 3 in three weeks: 3 + 3·√3 = 9 places. Their work waits for nobody's but their own, was never
    begun and is promised to nobody; what was drawn for two orders together is not drawn for one of them.
    """
    found = coming(1.0)
    assert found.problem.tasks[:3] == SHOP.tasks
    assert found.problem.orders == (*SHOP.orders, *(Order("to come"),) * 9)
    assert found.problem.tasks[5:7] == (Task(3, 30), Task(3, 60, after=(After(5, 10, 500),)))
    assert found.jobs[1].stages == (Unsure(Part(HALF_HOUR), (5,), (1.0,), 0.1),)
    assert found.jobs[1].surprises == ()
    assert len(found.jobs) == len({job.seed for job in found.jobs}) == 9
    assert coming(1.0, like=(0,)).problem.tasks[3] == Task(2, 400)


def test_as_many_come_as_should_and_evenly() -> None:
    """4,000 futures of a mean of 6: within four standard errors, .15; the variance is the mean, the minutes
    even: their mean is half of the time.
    """
    known = coming(2.0, 4000).known
    counts = (known < NEVER).sum(axis=1)
    assert counts.mean() == pytest.approx(6.0, abs=0.15)
    assert counts.var() == pytest.approx(6.0, rel=0.1)
    assert known[known < NEVER].mean() == pytest.approx(FOR_WEEKS * WEEK_MIN / 2, rel=0.02)


def test_nothing_comes() -> None:
    for found in (coming(0.0), coming(2.0, like=())):
        assert found.problem == SHOP
        assert found.jobs == ()
        assert found.known.shape == (8, 0)


def test_what_comes_moves_no_draws_and_makes_later() -> None:
    """The given orders' draws are the same. Nobody leaves what is begun: the second task of order b finds
    the one pair of hands at other work in some futures, and is never sooner.
    """
    found, fixed = coming(20.0, 60), [task.work for task in SHOP.tasks]
    alone = draw_work(fixed, JOBS[:1], 0.3, 60)
    more = draw_work([task.work for task in found.problem.tasks], (*JOBS[:1], *found.jobs), 0.3, 60)
    assert (more[:, :3] == alone).all()
    known = np.hstack([np.zeros((60, 2), dtype=np.int64), found.known])
    before = foresee(SHOP, (0, 1, 2), alone).ready
    after = foresee(found.problem, (0, 1, 2), more, Coming(2, known)).ready
    assert after.shape == before.shape
    assert (after >= before).all()
    assert (after > before).any()


def test_orders_that_pass_others() -> None:
    """The first two orders were ready on day 9, which overtakes nobody; the third, that came after both, on
    day 8: two of three pairs. The fourth came when all were out of the house, the last is open alone.
    """
    seen = pace_of([(0, 9), (2, 9), (3, 8), (20, 25), (30, None)], 13)
    assert seen.per_week == 5 / 13
    assert seen.overtaken == pytest.approx((2 + PAIRS * 0.15) / (3 + PAIRS))
    assert pace_of([], 13) == Pace()
    open_together = pace_of([(0, None), (1, None)], 13)
    assert open_together.overtaken == pytest.approx(0.15)  # which comes first nobody knows yet
    assert pace_of([(0, None), (1, 4)], 13).overtaken > 0.15 > pace_of([(0, 4), (1, None)], 13).overtaken


def test_what_passes_has_its_turn_beside_what_it_is_like() -> None:
    """Never where nothing was ever overtaken; always where every pair was."""
    assert not coming(4.0, overtaken=0.0).beside
    every = coming(4.0, overtaken=1.0)
    places = len(every.known[0])
    assert [len(own) for own in every.beside.values()] == [places] * 2
    turn = turn_of((2, 0, 1), every)
    assert turn == (2, *every.beside[2], 0, 1, *every.beside[1])
    assert sorted(turn) == list(range(len(every.problem.tasks)))
    some = len(coming(400.0, overtaken=0.15).beside[1]) / len(coming(400.0).known[0])
    assert some == pytest.approx(0.15, abs=0.04)
