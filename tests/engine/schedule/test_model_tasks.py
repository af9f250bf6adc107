from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_caps import Goal
from shoptrack.engine.schedule.model_solve import laid
from shoptrack.engine.schedule.model_tasks import Model
from shoptrack.engine.schedule.model_view import view_of
from shoptrack.engine.shapes.planned import Plan, Problem, Task
from tests.engine.schedule.hands import DAY, problem, worker
from tests.engine.schedule.shops import classic_shop, small_shop
from tests.engine.schedule.solved import worth_in_model

pytest.importorskip("ortools")


def holds(shop: Problem, plan: Plan, goals: Sequence[Goal] = ("late", "flow")) -> bool:
    """Whether a plan is a solution of the model that is made from it, and worth the same there."""
    models = [(goal, laid(view_of(shop, plan), goal)) for goal in goals]
    return all(
        model is not None and worth_in_model(model) == getattr(plan.worth, goal) for goal, model in models
    )


def test_every_plan_is_a_solution_of_the_model_made_from_it() -> None:
    """Small shops with all there is, by several orders of priority."""
    for number in range(25):
        rng = np.random.default_rng(number)
        shop = small_shop(rng, 3, 3, 3)
        for _ in range(2):
            plan = build(shop, [int(n) for n in rng.permutation(len(shop.tasks))])
            assert not plan.placed or holds(shop, plan), number


def test_a_job_shop_needs_no_choices() -> None:
    """No nights and nobody needed: each task is one interval that lasts as long as it lasts."""
    shop = classic_shop(np.random.default_rng(1), 3, 3)
    plan = build(shop, ())
    model = laid(view_of(shop, plan), "flow")
    assert model is not None
    assert len(model.known) == len(shop.tasks) + 1
    assert model.taken == {}
    assert holds(shop, plan)


def test_a_task_that_fits_nowhere_before_the_cap_makes_no_model() -> None:
    shop = problem(Task(0, 30))
    view = view_of(shop, build(shop, ()))
    assert not Model(shop, view.plan, view.people, {0: 20}).add_tasks()


def test_who_is_chosen_is_known_by_their_group() -> None:
    """Two with other hours: the plan has one of them, the solution says which."""
    shop = problem(Task(0, 30), workers=(worker(0), worker(1, free=(0,))))
    view = view_of(shop, build(shop, ()))
    model = Model(shop, view.plan, view.people, {0: 2 * DAY})
    assert model.add_tasks()
    assert {way for way, _ in model.taken[0]} == {(0,), (1,)}
    assert [way for way, _ in model.spots[0].hands] == [(0,), (1,)]


@pytest.mark.parametrize("crew", [1, 2])
def test_hands_and_rest_have_lengths_of_their_own(crew: int) -> None:
    """Set up by some, then watched by anybody: over lunch, over night, by every start that priority gives."""
    shop = problem(
        Task(0, 300, crew=crew, hands=60, watched=True, pause="lunch"),
        Task(0, 100, crew=crew),
        Task(0, 150, crew=crew, hands=100),
        workers=(worker(0), worker(1, free=(0,)), worker(2, free=(1,))),
    )
    assert all(holds(shop, build(shop, priority)) for priority in permutations(range(3)))
