import math

import pytest

from shoptrack.engine.schedule import model_caps, model_view
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_solve import Found, Limits, laid, solve
from shoptrack.engine.schedule.model_view import view_of
from shoptrack.engine.shapes.planned import Order, Problem, Task
from tests.engine.schedule.hands import problem, worker

pytest.importorskip("ortools")
LIMITS = Limits(math.inf, 1, 0)


def shop() -> Problem:
    """An hour and two, one person: the longer first is late by 60 and has a flow of 300, not 240."""
    return problem(Task(0, 120), Task(1, 60), orders=(Order("long", 200), Order("short", 120)))


def test_each_goal_is_proven_and_found() -> None:
    view = view_of(shop(), build(shop(), (0, 1)))
    for goal, least in (("late", 0), ("flow", 240)):
        found: list[Found] = []
        assert solve(view, goal, LIMITS, found.append) == least  # type: ignore[arg-type] # two of the goals
        assert found[-1].starts == {0: 60, 1: 0}


def test_nothing_better_is_proven_too() -> None:
    view = view_of(shop(), build(shop(), (1, 0)))
    found: list[Found] = []
    assert solve(view, "flow", LIMITS, found.append) == 240
    assert [each.starts for each in found] == [{0: 60, 1: 0}]


def test_a_flow_is_proven_only_where_no_cap_could_hide_a_better_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three without dates, and none is looked for later than 20 min before the plan ends."""
    three = problem(Task(0, 60), Task(1, 60), Task(2, 60))
    view = view_of(three, build(three, ()))
    assert solve(view, "flow", LIMITS, lambda _: None) == 360
    monkeypatch.setattr(model_view, "SLACK_MIN", -20)
    assert view.caps("flow").at == {0: 160, 1: 160, 2: 160}
    assert laid(view, "flow") is not None
    assert solve(view, "flow", LIMITS, lambda _: None) is None


def test_nothing_is_proven_of_people_taken_as_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(model_view, "MANY_CHOICES", 0)
    two = problem(Task(0, 60), Task(1, 60), workers=(worker(0), worker(1, free=(1,))))
    assert solve(view_of(two, build(two, ())), "flow", LIMITS, lambda _: None) is None


def test_who_does_it_is_told_where_there_is_a_choice() -> None:
    """Both may do both; one of them is off on the first day and has the hours of her own."""
    two = problem(Task(0, 400), Task(1, 400), workers=(worker(0, free=(0,)), worker(1)))
    view = view_of(two, build(two, ()))
    found: list[Found] = []
    assert solve(view, "flow", LIMITS, found.append) is not None
    assert set(found[-1].ways.values()) <= {(0,), (1,)}
    assert model_caps.caps_of(two, view.plan, view.people, "flow", 0).sure
