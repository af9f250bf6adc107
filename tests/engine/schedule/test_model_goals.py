import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_goals import add_goals
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.schedule.model_tasks import Model
from shoptrack.engine.shapes.planned import After, Order, Placed, Problem, Task
from tests.engine.schedule.hands import DAY, problem
from tests.engine.schedule.solved import takes, worth_in_model

pytest.importorskip("ortools")


def made(shop: Problem, goal: str) -> Model:
    plan = build(shop, ())
    model = Model(shop, plan, People(shop, True), {task.order: 2 * DAY for task in shop.tasks})
    assert model.add_tasks()
    model.cp.minimize(getattr(add_goals(model, plan), goal))
    model.hint(model.at)
    return model


def alone(task: int, start: int, end: int) -> Placed:
    return Placed(task, start, start, end)


def test_waits_hold_both_ways() -> None:
    shop = problem(Task(0, 10, crew=0), Task(0, 10, crew=0, after=(After(0, 20, 50),)), people=0)
    model = made(shop, "flow")
    for start, kept in ((29, False), (30, True), (60, True), (61, False)):
        assert takes(model, alone(0, 0, 10), alone(1, start, start + 10)) == kept


def test_a_negative_wait_lets_them_overlap() -> None:
    shop = problem(Task(0, 10, crew=0), Task(0, 10, crew=0, after=(After(0, -4),)), people=0)
    model = made(shop, "flow")
    assert takes(model, alone(0, 0, 10), alone(1, 6, 16))
    assert not takes(model, alone(0, 0, 10), alone(1, 5, 15))


def test_what_a_plan_misses_may_be_missed_and_counts() -> None:
    """It runs by itself until five to closing, and 20 min should follow within five."""
    shop = problem(Task(0, 505, crew=0, begun=()), Task(0, 20, after=(After(0, 0, 5),), pause="none"))
    plan = build(shop, ())
    assert plan.worth.missed == 1
    assert worth_in_model(made(shop, "missed")) == 1


def test_a_latest_start_holds_or_is_missed() -> None:
    shop = problem(Task(0, 10, crew=0, latest=5), people=0)
    assert takes(made(shop, "flow"), alone(0, 5, 15))
    assert not takes(made(shop, "flow"), alone(0, 6, 16))
    missed = problem(Task(0, 300, latest=0), Task(0, 20, latest=5, earliest=3))
    assert build(missed, ()).worth.missed == 1
    assert worth_in_model(made(missed, "missed")) == 1


def test_lateness_by_weight_and_flow_with_tails() -> None:
    """Ready at 100 + 30 and at 200: 5 × 30 late and 100 late, 330 together."""
    orders = (Order("heavy", 100, 5), Order("light", 100), Order("none"))
    shop = problem(Task(0, 100, tail=30), Task(1, 100), orders=orders)
    assert worth_in_model(made(shop, "late")) == 250
    assert worth_in_model(made(shop, "flow")) == 330
    assert build(shop, ()).worth.late == 250


def test_an_order_is_ready_with_its_latest_task_also_where_they_overlap() -> None:
    """The second may start before the first ends and end before it, and the first has a tail."""
    shop = problem(Task(0, 100, crew=0, tail=40), Task(0, 10, crew=0, after=(After(0, -90),)), people=0)
    assert worth_in_model(made(shop, "flow")) == 140 == build(shop, ()).worth.flow
