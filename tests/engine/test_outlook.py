"""Whole futures of small shops."""

import numpy as np

from shoptrack.engine.outlook import Ahead, Outlook, look_ahead
from shoptrack.engine.promise import Job, Unsure
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.planned import After, Order, Task
from shoptrack.engine.shapes.promised import Pace
from shoptrack.engine.totals import Part
from tests.engine.schedule.hands import DAY, problem

HOUR = Prediction(9.0, float(np.log(60.0)), 0.3)


def drawn(*stages: int, seed: int = 1) -> Job:
    """Stages of about an hour each, by the numbers of their tasks."""
    return Job(tuple(Unsure(Part(HOUR), (n,), (1.0,)) for n in stages), seed)


def test_one_hour_of_one_person_is_done_by_ten_nearly_always() -> None:
    """Log-t about an hour, at eight in the morning: half by nine, eight in ten by 1.3 hours (scale .3)."""
    shop = problem(Task(0, 60), orders=(Order("a", due=60),))
    found = look_ahead(Ahead(shop, (0,), (drawn(0),), 1, 0.3))
    promise = found.promises[0]
    assert promise.p50 is not None
    assert promise.p80 is not None
    assert abs(promise.p50 - 60) <= 2
    assert 74 <= promise.p80 <= 82
    assert promise.chance is not None
    assert 0.45 < promise.chance < 0.55
    assert [(t.kind, t.place) for t in found.threats[0]] == [("task", 0)]


def test_a_quote_that_is_out_weighs_by_its_chance() -> None:
    """It takes the one person in half of the futures; where it comes first, the other job is later there."""
    shop = problem(Task(0, 60), Task(1, 400), orders=(Order("a", due=120), Order("quote")))

    def chance(taken: tuple[float, ...]) -> float:
        found = look_ahead(Ahead(shop, (1, 0), (drawn(0),), 1, 0.3, taken))
        assert len(found.promises) == 1
        return found.promises[0].chance or 0.0

    never, half, always = chance((0.0,)), chance((0.5,)), chance((1.0,))
    assert never > 0.9
    assert always == 0.0
    assert 0.4 * never < half < 0.6 * never


def test_one_order_more_moves_no_draw_of_the_others() -> None:
    one = problem(Task(0, 60), orders=(Order("a", due=90),))
    two = problem(Task(0, 60), Task(1, 60), orders=(Order("a", due=90), Order("b")))
    alone = look_ahead(Ahead(one, (0,), (drawn(0),), 1, 0.3))
    among = look_ahead(Ahead(two, (0, 1), (drawn(0), drawn(1, seed=2)), 2, 0.3))
    assert np.array_equal(alone.ready[:, 0], among.ready[:, 0])
    again = look_ahead(Ahead(two, (0, 1), (drawn(0), drawn(1, seed=2)), 2, 0.3))
    assert np.array_equal(again.ready, among.ready)


def test_orders_that_nobody_has_given_yet_are_in_the_way() -> None:
    """One pair of hands, and a rest in the job: with 40 orders of two hours a week it is likely to find the
    hands taken after the rest. Nobody is told of an order to come, neither as asked about nor as a threat.
    """
    tasks = (Task(0, 60), Task(0, 60, after=(After(0, 120),)), Task(1, 120))
    shop = problem(*tasks, orders=(Order("a", due=250), Order("b")))
    jobs = (drawn(0, 1), Job((Unsure(Part(HOUR), (2,), (2.0,)),), 2))

    def found(per_week: float) -> Outlook:
        return look_ahead(Ahead(shop, (0, 1, 2), jobs, 2, 0.3, pace=Pace(per_week), like=(1,)))

    alone, among = found(0.0), found(40.0)
    assert among.ready.shape == alone.ready.shape
    assert (among.ready >= alone.ready).all()
    assert (among.promises[0].chance or 0.0) < (alone.promises[0].chance or 0.0)
    assert all(t.place < 2 for own in among.threats for t in own if t.kind == "order")
    assert np.array_equal(among.ready, found(40.0).ready)


def test_an_empty_shop() -> None:
    found = look_ahead(Ahead(problem(horizon=DAY), (), (), 0, 0.3))
    assert found.promises == ()
    assert found.ready.shape[1] == 0
