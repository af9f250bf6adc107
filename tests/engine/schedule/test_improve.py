import platform
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest

from shoptrack.engine.schedule import model_view
from shoptrack.engine.schedule.bench import bench_of
from shoptrack.engine.schedule.build import build, decode
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.improve import can_improve, improve
from shoptrack.engine.schedule.problem import ready_of, worth_of
from shoptrack.engine.shapes.planned import After, Order, Placed, Plan, Problem, Resource, Task, Worth
from tests.engine.schedule.hands import DAY, problem, times, worker
from tests.engine.schedule.shops import classic_shop, small_shop

ENOUGH_S = 60.0
"""Far more than any of these takes: what is asked for is proven long before."""


# --- by hand -----------------------------------------------------------------------------------------


def test_the_shorter_first_where_both_can_be_kept() -> None:
    """120 and 60 min, due at 200 and 120: only the shorter first keeps both; ready at 60 and 180."""
    pytest.importorskip("ortools")
    shop = problem(Task(0, 120), Task(1, 60), orders=(Order("long", 200), Order("short", 120)))
    plan = improve(shop, build(shop, (0, 1)), ENOUGH_S)
    assert times(plan) == {1: (0, 60), 0: (60, 180)}
    assert plan.worth == Worth(0, 0, 240)
    assert plan.by == "solver"
    assert plan.proven


def test_glue_before_lunch_then_cure_while_working() -> None:
    """One person, one clamp; two glue-ups of 30 min that hold it for 120 more, and 150 min of sanding.

    After the first glue-up the clamp is free at 150. Sanding 30–180 and the other glue-up 180–210 give
    30 + 180 + 210 = 420. The glue-up at 150 leaves the sanding 180–240 and 270–360: 30 + 180 + 360. Sanding
    first of all puts the glue-ups at 150 and 330: 150 + 180 + 360.
    """
    pytest.importorskip("ortools")
    glue = Task(0, 30, pause="none", keeps=((0, 1),), off=120)
    shop = problem(glue, replace(glue, order=1), Task(2, 150), resources=(Resource("clamp", 1),))
    plan = improve(shop, build(shop, (0, 1, 2)), ENOUGH_S)
    assert plan.proven
    assert plan.worth == Worth(0, 0, 420)
    assert check(shop, plan) == ()


def test_two_people_and_a_crew_of_two() -> None:
    """100 min for two and twice 60 min for one: the single ones side by side, then both: 60 + 60 + 160."""
    pytest.importorskip("ortools")
    shop = problem(Task(0, 100, crew=2), Task(1, 60), Task(2, 60), people=2)
    plan = improve(shop, build(shop, (0, 1, 2)), ENOUGH_S)
    assert plan.proven
    assert plan.worth.flow == 280


def test_a_missed_wait_is_mended_first() -> None:
    """A coat with another within 60 min; placed before a long stage of one who must be held, it is mended."""
    pytest.importorskip("ortools")
    shop = problem(Task(0, 20), Task(0, 20, after=(After(0, 30, 60),)), Task(1, 200, latest=100))
    hint = next(
        plan for p in permutations(range(3)) if (plan := decode(bench_of(shop), p, {2: 150})).worth.missed
    )
    plan = improve(shop, hint, ENOUGH_S)
    assert plan.worth == min(build(shop, p).worth for p in permutations(range(3)))
    assert plan.worth.missed == 0
    assert plan.proven


def test_a_wait_that_is_missed_whatever_is_done_comes_back() -> None:
    """Nothing but the one wait counts then, so the solver may do as it likes with all the rest."""
    pytest.importorskip("ortools")
    rng = np.random.default_rng(1102)
    shop = small_shop(rng, int(rng.integers(1, 4)), int(rng.integers(1, 4)), 3)
    hint = build(shop, range(len(shop.tasks))[::-1])
    assert hint.worth.missed == 1
    plan = improve(shop, hint, ENOUGH_S)
    assert check(shop, plan) == ()
    assert plan.worth <= hint.worth
    assert not plan.proven


def test_a_job_shop_by_hand() -> None:
    """Two machines, two jobs that cross: (3 on A, 2 on B) and (2 on B, 4 on A): 7 at least, for A has 7 to do
    and the second job reaches it at 2 when the first is not done: A is free at 3, 3 + 4 = 7.
    """
    pytest.importorskip("ortools")
    works = ((3, 0), (2, 1), (2, 1), (4, 0))
    tasks = [
        Task(0, w, crew=0, uses=((m, 1),), after=(After(n - 1),) if n % 2 else ())
        for n, (w, m) in enumerate(works)
    ]
    shop = problem(*tasks, people=0, resources=(Resource("A", 1), Resource("B", 1)))
    plan = improve(shop, build(shop, (2, 3, 0, 1)), ENOUGH_S)
    assert plan.worth.flow == 7
    assert plan.proven


# --- against every order of priority, and every start ------------------------------------------------


@pytest.mark.parametrize("number", range(14))
def test_no_order_of_priority_is_better_than_what_is_proven(number: int) -> None:
    """Small shops with pauses, cures, clamps, coats, crews and windows, from the worst order of priority."""
    pytest.importorskip("ortools")
    rng = np.random.default_rng(100 + number)
    shop = small_shop(rng, 2, 2, 3)
    tried = [decode(bench_of(shop), p) for p in permutations(range(min(len(shop.tasks), 6)))]
    hint = max(tried, key=lambda plan: plan.worth)
    plan = improve(shop, hint, ENOUGH_S)
    assert check(shop, plan) == ()
    assert plan.worth <= min(each.worth for each in tried) or hint.worth.missed
    assert plan.proven or plan.worth.missed


def every_plan(shop: Problem) -> Iterator[Plan]:
    """All plans of a tiny shop that keep its rules, by every start of every task and everybody for it."""
    bench = bench_of(shop)
    places = []
    for n, task in enumerate(shop.tasks):
        starts = product(range(shop.horizon), bench.crews[n])
        alone = (decode(bench_of(_only(shop, n)), (), {0: start}) for start, _ in starts)
        found = {(p.start, p.hands_end, p.end) for plan in alone for p in plan.placed if task.begun is None}
        places.append([Placed(n, *at, crew) for at in sorted(found) for crew in bench.crews[n]])
    for placed in product(*places):
        ready = ready_of(shop, placed)
        inorder = tuple(sorted(placed, key=lambda p: (p.start, p.end, p.task)))
        plan = Plan(inorder, worth_of(shop, ready, 0), ready)
        if check(shop, plan) == ():
            yield plan


def _only(shop: Problem, n: int) -> Problem:
    return replace(shop, tasks=(replace(shop.tasks[n], after=()),))


def tiny(rng: np.random.Generator) -> Problem:
    """Two or three short tasks for two people with a lunch, who share a station, a clamp and a room."""

    def some(task: int) -> Task:
        kind = int(rng.integers(0, 4))
        after = (After(task - 1, int(rng.integers(0, 2)), 6),) if task and rng.random() < 0.5 else ()
        base = Task(task % 2, int(rng.integers(1, 4)), f"task {task}", stage=task, after=after)
        return (
            replace(base, uses=((0, 1),), crew=int(rng.integers(1, 3))),
            replace(base, pause="none", keeps=((1, 1),), off=int(rng.integers(0, 3))),
            replace(base, room=0, dusty=True, able=frozenset({int(rng.integers(0, 2))})),
            replace(base, room=0, wet=2, crew=0, pause="none"),
        )[kind]

    short = replace(worker(0), spans=((0, 4), (5, 9), (11, 14)), days=(0, 0, 1))
    other = short if rng.random() < 0.5 else replace(worker(1), spans=((0, 6), (11, 14)), days=(0, 1))
    dues = [int(rng.integers(2, 8)) if rng.random() < 0.7 else None for _ in range(2)]
    orders = tuple(Order(f"order {n}", due, int(rng.integers(1, 3))) for n, due in enumerate(dues))
    things = (Resource("station", 1, ((2, 3),)), Resource("clamp", 1))
    tasks = tuple(some(n) for n in range(int(rng.integers(2, 4))))
    return Problem(tasks, orders, (short, replace(other, person=1)), things, horizon=14)


@pytest.mark.parametrize("number", range(10))
def test_what_is_proven_is_the_best_of_all_plans_there_are(number: int) -> None:
    """Every start of every task is tried, with everybody who may do it; the checker says what is a plan."""
    pytest.importorskip("ortools")
    shop = tiny(np.random.default_rng(number))
    hint = build(shop, ())
    if len(hint.placed) < len(shop.tasks) or hint.missed:
        hint = build(shop, (1, 0))
    plan = improve(shop, hint, ENOUGH_S)
    best = min((each.worth for each in every_plan(shop)), default=plan.worth)
    assert plan.worth >= best or plan.left
    assert not plan.proven or plan.worth == best


# --- what comes back ---------------------------------------------------------------------------------


def test_without_the_library_the_hint_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    monkeypatch.setitem(sys.modules, "ortools.sat.python.cp_model", None)
    shop = problem(Task(0, 120), Task(1, 60))
    hint = build(shop, (0, 1))
    assert not can_improve()
    assert improve(shop, hint, ENOUGH_S) is hint


def test_without_time_or_tasks_the_hint_comes_back() -> None:
    shop = problem(Task(0, 120), Task(1, 60))
    hint = build(shop, (0, 1))
    assert improve(shop, hint, 0) is hint
    nothing = problem()
    assert improve(nothing, empty := build(nothing, ()), ENOUGH_S) is empty


def test_a_hint_that_is_best_comes_back_proven() -> None:
    pytest.importorskip("ortools")
    shop = problem(Task(0, 120), Task(1, 60))
    hint = build(shop, (1, 0))
    assert improve(shop, hint, ENOUGH_S) == replace(hint, proven=True)


def test_each_better_plan_is_told() -> None:
    pytest.importorskip("ortools")
    shop = problem(*(Task(n, 100 - 10 * n) for n in range(6)))
    told: list[Plan] = []
    plan = improve(shop, build(shop, range(6)), ENOUGH_S, tell=told.append)
    worths = [each.worth for each in told]
    assert worths == sorted(set(worths), reverse=True)
    assert replace(told[-1], proven=True) == plan
    assert all(check(shop, each) == () for each in told)


def test_one_thread_gives_the_same_plan_again() -> None:
    pytest.importorskip("ortools")
    shop = small_shop(np.random.default_rng(8), 3, 2, 3)
    hint = build(shop, range(len(shop.tasks))[::-1])
    assert improve(shop, hint, ENOUGH_S, seed=5) == improve(shop, hint, ENOUGH_S, seed=5)


def test_what_was_left_out_stays_out_and_nothing_is_proven_of_it() -> None:
    """Three days are planned and a task of four finds no room; the others are put in their best order."""
    pytest.importorskip("ortools")
    shop = problem(Task(0, 100), Task(1, 50), Task(2, 1900), horizon=3 * DAY, workers=(worker(0, days=3),))
    hint = build(shop, (0, 1, 2))
    assert [each.task for each in hint.left] == [2]
    plan = improve(shop, hint, ENOUGH_S)
    assert plan.worth == Worth(0, 0, 200)
    assert [each.task for each in plan.left] == [2]
    assert not plan.proven


def test_people_taken_as_alike_are_given_their_own_hours_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small shops seen as large ones: what comes out keeps every rule and is no worse."""
    pytest.importorskip("ortools")
    monkeypatch.setattr(model_view, "MANY_CHOICES", 0)
    better = 0
    for number in range(12):
        shop = small_shop(np.random.default_rng(number), 3, 3, 3)
        hint = build(shop, range(len(shop.tasks))[::-1])
        plan = improve(shop, hint, 3.0)
        assert check(shop, plan) == ()
        assert plan.worth <= hint.worth
        better += plan.worth < hint.worth
    assert better


def test_a_classic_shop_is_proven() -> None:
    """Four jobs on three machines: no makespan is less than what the busiest machine has to do."""
    pytest.importorskip("ortools")
    shop = classic_shop(np.random.default_rng(4), 4, 3)
    plan = improve(shop, build(shop, ()), ENOUGH_S)
    busiest = max(sum(t.work for t in shop.tasks if t.uses[0][0] == m) for m in range(3))
    assert plan.proven
    assert (
        busiest
        <= plan.worth.flow
        <= min(build(shop, shop_order).worth.flow for shop_order in ((), range(12)))
    )


def test_the_solver_is_there_wherever_it_can_be_installed() -> None:
    """What needs it is left out only where there are no wheels: a lost install step does not pass unseen."""
    nowhere = sys.platform == "win32" and platform.machine() == "ARM64"
    assert can_improve() or nowhere
