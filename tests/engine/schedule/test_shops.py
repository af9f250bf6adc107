"""The small shops of the other tests: the same for the same number, with all there is, all placeable."""

from collections import Counter
from collections.abc import Iterator

import numpy as np
from hypothesis import given

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes.planned import Problem
from tests.engine.schedule.shops import classic_shop, shops, small_shop


@given(shops())
def test_a_shop_can_be_planned_and_its_plan_keeps_all_rules(problem: Problem) -> None:
    plan = build(problem, range(len(problem.tasks)))
    assert plan.left == ()
    assert check(problem, plan) == ()


def traits(problem: Problem) -> Iterator[str]:
    for task in problem.tasks:
        yield from (f"pause {task.pause}", f"crew {task.crew}")
        said = {
            "able": task.able is not None,
            "hands first": task.hands is not None and 0 < task.hands < task.work,
            "watched": task.watched,
            "clamps": bool(task.keeps),
            "wet": bool(task.wet),
            "dusty": task.dusty,
            "begun by people": bool(task.begun),
            "begun by itself": task.begun == (),
            "earliest": task.earliest > 0,
            "latest": task.latest is not None,
            "tail": task.tail > 0,
            "after two": len(task.after) > 1,
            "overlap": any(after.least < 0 for after in task.after),
            "window": any(after.greatest is not None for after in task.after),
        }
        yield from (name for name, is_so in said.items() if is_so)
    yield from ("closed" for resource in problem.resources if resource.closed)
    yield from ("no date" for order in problem.orders if order.due is None)
    yield from ("heavy" for order in problem.orders if order.weight > 1)
    with_tasks = {task.order for task in problem.tasks}
    yield from ("empty order" for n in range(len(problem.orders)) if n not in with_tasks)


def test_they_have_all_there_is() -> None:
    """Two hundred shops: each trait at least ten times."""
    rng = np.random.default_rng(1)
    seen = Counter(trait for _ in range(200) for trait in traits(small_shop(rng)))
    assert len(seen) == 24
    assert min(seen.values()) >= 10, seen


def test_the_same_number_gives_the_same_shop() -> None:
    one, same, other = (small_shop(np.random.default_rng(n)) for n in (7, 7, 8))
    assert one == same != other


def test_a_classic_shop_has_each_job_on_each_machine_once() -> None:
    problem = classic_shop(np.random.default_rng(3), 4, 3)
    for job in range(4):
        tasks = problem.tasks[3 * job : 3 * job + 3]
        assert sorted(task.uses[0][0] for task in tasks) == [0, 1, 2]
        assert [len(task.after) for task in tasks] == [0, 1, 1]
    assert check(problem, build(problem, range(12))) == ()
