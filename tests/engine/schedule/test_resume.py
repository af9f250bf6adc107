"""A list that is near the last one, decoded from where they part, held against the whole decoded anew."""

import numpy as np
import pytest

from shoptrack.engine.schedule.bench import Bench, bench_of
from shoptrack.engine.schedule.build import decode
from shoptrack.engine.schedule.moves import Moves
from shoptrack.engine.schedule.resume import begin, resume
from shoptrack.engine.schedule.rules import rules
from shoptrack.engine.shapes.planned import Placed, Plan, Resource, Task
from tests.bench.shops import Load, shop
from tests.engine.schedule.hands import problem


def by_task(plan: Plan) -> list[Placed]:
    """Tasks that begin and end together stand in the order of the list: nothing else may differ."""
    return sorted(plan.placed, key=lambda placed: placed.task)


def walk(bench: Bench, line: list[int], steps: int, seed: int) -> tuple[int, int]:
    """Move from list to list, each held against itself decoded anew: how many differed, and were alike."""
    rng = np.random.default_rng(seed)
    moves = Moves(bench, line, rng)
    now = begin(bench, line)
    assert now.plan == decode(bench, line, by="search")
    differed = alike = 0
    for _ in range(steps):
        near = moves.next(now.line, now.plan)
        whole = decode(bench, near, by="search")
        tried = resume(now, near)
        if tried is None:
            alike += 1
            assert by_task(whole) == by_task(now.plan)
            continue
        assert tried.plan == whole
        differed += by_task(whole) != by_task(now.plan)
        if rng.random() < 0.5:
            now = tried
    return differed, alike


@pytest.mark.parametrize(("jobs", "seed"), [(3, 1), (5, 2), (8, 3)])
@pytest.mark.parametrize("load", ["keepable", "overloaded"])
def test_a_resumed_plan_is_the_plan(jobs: int, seed: int, load: Load) -> None:
    asked = shop(jobs, seed, load)
    bench = bench_of(asked)
    line = [n for n in rules(asked)["least slack"] if n not in bench.fixed]
    differed, alike = walk(bench, line, 40, seed)
    assert differed > 10
    assert alike > 5


def test_what_comes_too_late_is_pulled_as_if_begun_anew() -> None:
    """Coats that must follow each other soon, all at the end of the list: pulls on both sides of a mark."""
    asked = shop(6, 7, "overloaded")
    bench = bench_of(asked)
    coats = [n for n, task in enumerate(asked.tasks) if task.name == "coat" and task.begun is None]
    others = [n for n in bench.order if n not in bench.fixed and n not in coats]
    differed, _ = walk(bench, [*others, *coats], 40, 5)
    assert differed > 10


def test_the_same_list_has_the_same_plan() -> None:
    bench = bench_of(problem(Task(0, 30), Task(1, 30)))
    assert resume(begin(bench, [0, 1]), [0, 1]) is None


def test_two_that_do_not_meet_may_change_places() -> None:
    """One saw each and two at work: what comes of the lists is one plan."""
    tasks = (Task(0, 30, crew=0, uses=((0, 1),)), Task(1, 30, crew=0, uses=((1, 1),)), Task(0, 30, crew=0))
    bench = bench_of(problem(*tasks, resources=(Resource("saw", 1), Resource("planer", 1))))
    last = begin(bench, [0, 1, 2])
    assert by_task(decode(bench, [1, 0, 2])) == by_task(last.plan)
    tried = resume(last, [1, 0, 2])
    assert tried is None or by_task(tried.plan) == by_task(last.plan)
