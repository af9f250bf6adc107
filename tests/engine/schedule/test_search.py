"""Plans found by search: never worse than the one given, the same again, and within all rules."""

from itertools import permutations

import numpy as np
import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.rules import best_rule, earliest_date
from shoptrack.engine.schedule.search import search
from shoptrack.engine.shapes.planned import Order, Plan, Problem, Resource, Task, Worth
from tests.bench.shops import Load, shop
from tests.engine.schedule.hands import problem


def searched(asked: Problem, first: Plan, moves: int, seed: int = 1) -> Plan:
    return search(asked, first, np.random.default_rng(seed), lambda: False, moves)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("load", ["keepable", "overloaded"])
def test_a_plan_is_never_worse_and_keeps_every_rule(seed: int, load: Load) -> None:
    asked = shop(4, seed, load)
    first = best_rule(asked)
    found = searched(asked, first, 80, seed)
    assert found.worth <= first.worth
    assert check(asked, found) == ()
    assert found is first or (found.worth < first.worth and found.by == "search")


def test_the_same_numbers_give_the_same_plan() -> None:
    """Also where it is stopped: more moves begin with the same ones."""
    asked = shop(3, 3, "overloaded")
    first = earliest_date(asked)
    found = searched(asked, first, 60)
    assert found == searched(asked, first, 60)
    assert searched(asked, first, 120).worth <= found.worth <= searched(asked, first, 30).worth


def test_it_stops_when_told_to() -> None:
    asked = shop(4, 1, "overloaded")
    first = earliest_date(asked)
    asked_times = 0

    def stop() -> bool:
        nonlocal asked_times
        asked_times += 1
        return asked_times > 30

    stopped = search(asked, first, np.random.default_rng(1), stop)
    assert asked_times == 31
    assert stopped == searched(asked, first, 30)
    assert search(asked, first, np.random.default_rng(1), lambda: True) is first


def test_among_equals_the_plan_given_stays() -> None:
    """Two stages alike: either order is worth the same."""
    asked = problem(Task(0, 60), Task(1, 60))
    for line in ((0, 1), (1, 0)):
        first = build(asked, line)
        assert searched(asked, first, 50) is first


def test_nothing_to_move_gives_the_plan_back() -> None:
    for asked in (Problem((), ()), problem(Task(0, 60))):
        first = build(asked, ())
        assert searched(asked, first, 10) is first


def test_a_plan_from_elsewhere_that_no_list_gives_is_kept() -> None:
    """One that is better than any decoded stays, whoever made it."""
    asked = problem(Task(0, 60), Task(1, 90))
    decoded = build(asked, (0, 1))
    better = Plan(decoded.placed, Worth(0, 0, 0), decoded.ready, by="solver")
    assert searched(asked, better, 50) is better


def test_no_stage_is_left_out_for_a_better_figure() -> None:
    """One saw until minute 160: where what may begin at 50 goes first, nothing is left for the other.

    What is left out costs nothing, so that the worth of that plan is the less.
    """
    saw = ((0, 1),)
    tasks = (Task(0, 100, crew=0, uses=saw, earliest=50), Task(1, 60, crew=0, uses=saw))
    asked = problem(*tasks, resources=(Resource("saw", 1),), horizon=160)
    both, one = build(asked, (1, 0)), build(asked, (0, 1))
    assert (len(both.left), len(one.left)) == (0, 1)
    assert one.worth < both.worth
    assert searched(asked, both, 60) is both
    assert searched(asked, one, 60).left == ()


def test_a_heavy_job_goes_before_one_that_is_due_before_it() -> None:
    """One saw, both late anyhow: by date three hours come before one that weighs five times as much."""
    tasks = (Task(0, 180, uses=((0, 1),)), Task(1, 60, uses=((0, 1),)))
    orders = (Order("Desk", due=0), Order("Door", due=1, weight=5))
    asked = problem(*tasks, orders=orders, resources=(Resource("saw", 1),))
    assert earliest_date(asked).worth.late == 180 + 5 * 239
    assert searched(asked, earliest_date(asked), 20).worth == Worth(0, 5 * 59 + 240, 300)


@pytest.mark.parametrize("seed", range(16))
def test_no_order_of_six_stages_is_better(seed: int) -> None:
    """Every one of the 720 lists decoded, held against 400 moves."""
    rng = np.random.default_rng(seed)
    tasks = tuple(
        Task(n // 2, int(rng.integers(1, 30)) * 10, pause="none" if n % 2 else "any", uses=((n % 2, 1),))
        for n in range(6)
    )
    orders = tuple(Order(f"Job {n}", int(rng.integers(0, 500)), int(rng.integers(1, 6))) for n in range(3))
    asked = problem(*tasks, orders=orders, resources=(Resource("saw", 1), Resource("bench", 1)))
    best = min(build(asked, line).worth for line in permutations(range(6)))
    assert searched(asked, earliest_date(asked), 400, seed).worth == best
