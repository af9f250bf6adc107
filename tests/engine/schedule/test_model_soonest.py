from itertools import permutations

import numpy as np

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.schedule.model_soonest import soonest_of
from shoptrack.engine.shapes.planned import After, Plan, Problem, Task
from tests.engine.schedule.hands import DAY, LUNCH_OVER, problem
from tests.engine.schedule.shops import small_shop


def soonest(shop: Problem, plan: Plan) -> dict[int, int]:
    return soonest_of(shop, plan, People(shop, apart=True))


def test_an_order_by_itself_is_ready_when_its_hours_allow() -> None:
    """230 minutes, a glue-up of 20 that does not fit before lunch, 400 of curing, an hour next morning."""
    shop = problem(
        Task(0, 230),
        Task(0, 20, pause="none", after=(After(0),)),
        Task(0, 60, after=(After(1, 400),), tail=15),
        Task(1, 10),
    )
    plan = build(shop, (3, 0, 1, 2))
    assert plan.ready == (DAY + 75, 10)
    assert soonest(shop, plan) == {0: DAY + 75, 1: 10}
    assert LUNCH_OVER + 20 + 400 > 510


def test_no_plan_is_sooner() -> None:
    """Small shops by every order of priority: no order is ready before its soonest."""
    for seed in range(30):
        shop = small_shop(np.random.default_rng(seed), 2, 2, 2)
        for priority in permutations(range(len(shop.tasks))):
            plan = build(shop, priority)
            least = soonest(shop, plan)
            assert all(at is None or least[n] <= at for n, at in enumerate(plan.ready)), seed


def test_nothing_planned() -> None:
    shop = problem()
    assert soonest(shop, build(shop, ())) == {}
