"""Promises of small shops reckoned by hand; draws that stay where nothing changed; threats named."""

import math

import numpy as np
import pytest

from shoptrack.engine.promise import Job, Unsure, chance_by, draw_work, foresee, kept_by, promise_of, threats
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Worker
from shoptrack.engine.shapes.promised import NEVER, Coming, Counts, Futures, Promise
from shoptrack.engine.totals import Part, draw_min

DAY = 1440


def told(minutes: float, scale: float = 0.3) -> Prediction:
    return Prediction(df=12.0, loc=math.log(minutes), scale=scale)


def one_person(*tasks: Task, orders: int, resources: tuple[Resource, ...] = ()) -> Problem:
    """One who is there around the clock."""
    always = Worker(0, "Ada", ((0, 30 * DAY),), (0,))
    return Problem(tasks, tuple(Order(f"{n}") for n in range(orders)), (always,), resources, 30 * DAY)


def rows(*drawn: tuple[int, ...]) -> Counts:
    return np.array(drawn, dtype=np.int64)


# --- drawing -----------------------------------------------------------------------------------------


def jobs(*seeds: int) -> list[Job]:
    """Order n has the tasks 3n to 3n + 2: one stage of two rounds, and one in hand for 10 minutes."""
    return [
        Job(
            (
                Unsure(Part(told(90)), (3 * n, 3 * n + 1), (2 / 3, 1 / 3)),
                Unsure(Part(told(40), 10.0), (3 * n + 2,), (1.0,)),
            ),
            seed,
        )
        for n, seed in enumerate(seeds)
    ]


def test_rounds_share_their_stage_and_rests_stay() -> None:
    """What is drawn is what the totals draw: 2/3 and 1/3 of a stage, what is left after 10 minutes."""
    drawn = draw_work([1, 1, 1, 777], jobs(5), 0.3, 50)
    minutes = draw_min([Part(told(90)), Part(told(40), 10.0)], 0.3, np.random.default_rng(5), 50)
    assert (drawn[:, 3] == 777).all()
    assert drawn[:, 0].tolist() == np.rint(minutes[:, 0] * 2 / 3).tolist()
    assert drawn[:, 1].tolist() == np.rint(minutes[:, 0] / 3).tolist()
    assert drawn[:, 2].tolist() == np.maximum(np.rint(minutes[:, 1] - 10), 1).tolist()
    assert drawn.min() >= 1


def test_an_order_more_changes_no_other_draws() -> None:
    alone = draw_work([1] * 6, jobs(5, 6), 0.3, 50)
    more = draw_work([1] * 9, jobs(5, 6, 7), 0.3, 50)
    assert (more[:, :6] == alone).all()
    assert (alone == draw_work([1] * 6, jobs(5, 6), 0.3, 50)).all()
    assert (draw_work([1] * 6, jobs(5, 9), 0.3, 50)[:, :3] == alone[:, :3]).all()


def test_a_task_done_together_adds_its_shares_up() -> None:
    """Task 0 is a third of a stage of one job and a half of two stages of another: no part is lost, and no
    share is rounded before the sum. Task 1 is not drawn; what comes to under half a minute is one.
    """
    both = Job((Unsure(Part(told(90)), (0,), (0.5,)), Unsure(Part(told(40)), (0,), (0.5,))), 6)
    drawn = draw_work([1, 777, 1], [Job((Unsure(Part(told(50)), (0, 2), (1 / 3, 0.001)),), 5), both], 0.3, 50)
    one = draw_min([Part(told(50))], 0.3, np.random.default_rng(5), 50)
    two = draw_min([Part(told(90)), Part(told(40))], 0.3, np.random.default_rng(6), 50)
    assert drawn[:, 0].tolist() == np.rint(one[:, 0] / 3 + two.sum(axis=1) / 2).tolist()
    assert drawn[:, 1].tolist() == [777] * 50
    assert drawn[:, 2].tolist() == [1] * 50


def test_nothing_to_draw() -> None:
    assert draw_work([], [], 0.3, 4).shape == (4, 0)
    assert draw_work([5], [Job((), 1)], 0.3, 2).tolist() == [[5], [5]]


def test_what_is_spoiled_is_done_again() -> None:
    """One in four is done twice: the mean rises by a quarter (20,000 draws: ± 2 %)."""
    once = draw_work([1], [Job((Unsure(Part(told(900)), (0,), (1.0,)),), 3)], 0.3, 20_000)
    again = draw_work([1], [Job((Unsure(Part(told(900)), (0,), (1.0,), 0.25),), 3)], 0.3, 20_000)
    assert again.mean() / once.mean() == pytest.approx(1.25, rel=0.02)


# --- futures -----------------------------------------------------------------------------------------


def test_futures_by_hand() -> None:
    """One person, order 0 first. Drawn (10, 20): ready at 10 and 30; (40, 5): 40 and 45; (20, 20): 20, 40."""
    problem = one_person(Task(0, 15), Task(1, 15), orders=2)
    futures = foresee(problem, (0, 1), rows((10, 20), (40, 5), (20, 20)))
    assert futures.ready.tolist() == [[10, 30], [40, 45], [20, 40]]
    assert foresee(problem, (1, 0), rows((10, 20))).ready.tolist() == [[30, 20]]
    assert chance_by(futures, 0, 20) == pytest.approx(2 / 3)
    assert chance_by(futures, 1, 29) == 0.0
    assert promise_of(futures, 1, 44) == Promise(40, 45, 45, pytest.approx(2 / 3))


def test_shares_are_the_least_minute_that_keeps_them() -> None:
    """Of ten futures 10, 20 … 100 half are ready by 50, eight by 80, all by 100; nobody by "never"."""
    ready = np.arange(10, 110, 10, dtype=np.int64)
    futures = Futures(np.stack([ready, np.where(ready > 70, NEVER, ready)], axis=1))
    assert [kept_by(futures, 0, share) for share in (0.05, 0.5, 0.8, 0.81, 1.0)] == [10, 50, 80, 90, 100]
    assert [kept_by(futures, 1, share) for share in (0.5, 0.7, 0.8)] == [50, 70, None]
    assert all(chance_by(futures, 0, kept_by(futures, 0, share) or 0) >= share for share in (0.31, 0.8))


def test_no_orders_no_draws_and_all_done() -> None:
    assert foresee(Problem((), ()), (), np.empty((3, 0), dtype=np.int64)).ready.shape == (3, 0)
    done = foresee(one_person(orders=1), (), np.empty((3, 0), dtype=np.int64))
    assert done.ready.tolist() == [[0]] * 3
    none = foresee(one_person(Task(0, 5), orders=1), (), np.empty((0, 1), dtype=np.int64))
    assert kept_by(none, 0, 0.8) is None
    assert math.isnan(chance_by(none, 0, 5))


def test_where_one_order_is_enough_for_all_hands_the_last_changes_nothing() -> None:
    """An order of the lowest rank that comes when the only pair of hands is taken waits until all others are
    done: one person without rests never has a free minute before. With rests between it does come between,
    and then a first order can wait for it: nobody leaves what is begun.
    """
    chain = (Task(0, 50), Task(0, 30, after=(After(0),)))
    drawn = rows((50, 30), (70, 20))
    alone = foresee(one_person(*chain, orders=1), (0, 1), drawn).ready[:, 0]
    more = one_person(*chain, Task(1, 200), orders=2)
    assert (foresee(more, (0, 1, 2), np.hstack([drawn, rows((200,), (200,))])).ready[:, 0] == alone).all()
    rested = (chain[0], Task(0, 30, after=(After(0, 100),)))
    waits = foresee(one_person(*rested, Task(1, 200), orders=2), (0, 1, 2), rows((50, 30, 200)))
    assert waits.ready.tolist() == [[280, 250]]


def test_what_comes_later_counts() -> None:
    """The second order is known at 20 in one future, never in the other; it is not asked about."""
    problem = one_person(Task(0, 50), Task(0, 30, after=(After(0, 100),)), Task(1, 200), orders=2)
    coming = Coming(1, rows((0, 20), (0, NEVER)))
    futures = foresee(problem, (0, 1), rows((50, 30, 200), (50, 30, 200)), coming)
    assert futures.ready.tolist() == [[280], [180]]


# --- threats -----------------------------------------------------------------------------------------


def test_what_an_order_hangs_on() -> None:
    """Order 1 waits for a saw that order 0 holds for widely spread minutes; its own vary by far less.

    Its end is the sum of three independent times with variances 90², 20² and 0: the shares are those squares
    over their sum, .95 and .05, within .05 in 4,000 draws. The third order shares nothing.
    """
    rng = np.random.default_rng(2)
    free = (Resource("saw", 1),)
    tasks = (Task(0, 300, crew=0, uses=((0, 1),)), Task(1, 100, crew=0, uses=((0, 1),)), Task(2, 300, crew=0))
    problem = one_person(*tasks, Task(1, 50, crew=0, after=(After(1),)), orders=3, resources=free)
    drawn = rng.normal([300, 100, 300, 50], [90, 20, 90, 0], (4000, 4)).round().astype(np.int64).clip(1)
    futures = foresee(problem, range(4), drawn)
    found = threats(problem, futures, drawn, 1, most=9)
    assert [(each.kind, each.place) for each in found] == [("order", 0), ("resource", 0), ("task", 1)]
    assert [each.share for each in found] == pytest.approx([0.95, 0.95, 0.05], abs=0.05)
    assert threats(problem, futures, drawn, 1, most=1) == found[:1]


def test_nothing_threatens_what_never_varies() -> None:
    """Nor is chance told of as a threat: 200 draws of a time that has no part in it."""
    problem = one_person(Task(0, 10, crew=0), Task(1, 20, crew=0), orders=2)
    still = rows(*[(10, n) for n in range(1, 201)])
    assert threats(problem, foresee(problem, (0, 1), still), still, 0) == ()
    drawn = np.random.default_rng(3).integers(1, 100, (200, 2))
    found = threats(problem, foresee(problem, (0, 1), drawn), drawn, 0)
    assert [(each.kind, each.place) for each in found] == [("task", 0)]
    assert threats(problem, Futures(np.empty((0, 2), dtype=np.int64)), drawn[:0], 0) == ()
