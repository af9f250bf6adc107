import numpy as np
import pytest

from shoptrack.engine.schedule import model_view
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.model_view import view_of
from shoptrack.engine.shapes.planned import After, Order, Task
from tests.engine.schedule.hands import DAY, problem, worker
from tests.engine.schedule.shops import small_shop


def test_few_tasks_are_seen_as_they_are() -> None:
    shop = problem(Task(0, 30), workers=(worker(0), worker(1, free=(1,))))
    plan = build(shop, ())
    view = view_of(shop, plan)
    assert view.problem is shop
    assert view.plan is plan
    assert view.exact
    assert len(view.people.groups) == 2


def test_with_many_choices_people_are_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two, one of them off tomorrow: one group, and tasks for the morning and the afternoon off."""
    monkeypatch.setattr(model_view, "MANY_CHOICES", 1)
    shop = problem(*(Task(0, 400) for _ in range(4)), workers=(worker(0), worker(1, free=(1,))))
    view = view_of(shop, build(shop, ()))
    assert not view.exact
    assert len(view.people.groups) == 1
    assert [task.name for task in view.problem.tasks[4:]] == ["away", "away"]
    assert {each.task: each.start for each in view.plan.placed}[4] == DAY
    assert check(view.problem, view.plan) == ()


def test_with_many_choices_those_who_are_alike_are_seen_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(model_view, "MANY_CHOICES", 1)
    shop = problem(Task(0, 30), Task(0, 30, able=frozenset({1})), people=2)
    view = view_of(shop, build(shop, ()))
    assert view.exact
    assert view.problem is shop
    assert len(view.people.groups) == 1


def test_the_promised_and_what_they_wait_for() -> None:
    """The order without a date counts only where a promised one waits for it, and what is in hand anyway."""
    shop = problem(
        Task(0, 30),
        Task(1, 30),
        Task(1, 30),
        Task(0, 30, after=(After(1),)),
        Task(2, 30, begun=(0,)),
        orders=(Order("promised", 500), Order("not"), Order("in hand")),
    )
    view = view_of(shop, build(shop, ())).promised()
    assert sorted(each.task for each in view.plan.placed) == [0, 1, 3, 4]


def test_a_plan_of_people_alike_keeps_every_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(model_view, "MANY_CHOICES", 0)
    seen = 0
    for number in range(40):
        shop = small_shop(np.random.default_rng(number), 2, 3, 3)
        view = view_of(shop, build(shop, ()))
        seen += view.problem is not shop
        assert check(view.problem, view.plan) == (), number
    assert seen > 10
