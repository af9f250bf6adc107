"""Lists of priority near another: the same tasks, each once."""

from collections.abc import Sequence

import numpy as np
import pytest

from shoptrack.engine.schedule.bench import bench_of
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.moves import Moves
from shoptrack.engine.shapes.planned import Order, Problem, Resource, Task
from tests.bench.shops import shop
from tests.engine.schedule.hands import problem


def moved(asked: Problem, line: Sequence[int], times: int, seed: int = 1) -> list[list[int]]:
    """So many lists, each one move from the list given."""
    moves = Moves(bench_of(asked), line, np.random.default_rng(seed))
    plan = build(asked, line)
    return [moves.next(line, plan) for _ in range(times)]


@pytest.mark.parametrize("jobs", [1, 2, 5])
def test_a_move_loses_and_doubles_no_task(jobs: int) -> None:
    asked = shop(jobs, 1, "overloaded")
    line = [n for n, task in enumerate(asked.tasks) if task.begun is None]
    found = moved(asked, line, 200)
    assert all(sorted(each) == line for each in found)
    assert sum(each != line for each in found) > 60


def test_the_same_numbers_make_the_same_moves() -> None:
    asked = shop(4, 2)
    line = [n for n, task in enumerate(asked.tasks) if task.begun is None]
    assert moved(asked, line, 50, seed=3) == moved(asked, line, 50, seed=3)
    assert moved(asked, line, 50, seed=3) != moved(asked, line, 50, seed=4)


def test_a_late_job_goes_up_more_often_than_others() -> None:
    """Ten jobs of a stage each, of which the last is late, and no job that is due can be later."""
    tasks = tuple(Task(n, 60) for n in range(10))
    orders = (*(Order(f"Job {n}") for n in range(9)), Order("Job 9", due=0))
    found = moved(problem(*tasks, orders=orders), range(10), 600)
    up = [sum(each.index(n) < n for each in found) for n in range(10)]
    assert up[9] > 2 * max(up[:9])


def test_every_order_of_two_stages_is_reached_in_one_move() -> None:
    asked = problem(Task(0, 30, uses=((0, 1),)), Task(1, 30, uses=((0, 1),)), resources=(Resource("saw", 1),))
    assert [1, 0] in moved(asked, (0, 1), 20)
