"""The judge of plans: every task once, in order, within the time; readiness and worth reckoned again."""

from dataclasses import replace
from typing import Literal

import pytest

from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes.planned import After, Left, Missed, Order, Plan, Problem, Task, Worth
from tests.engine.schedule.two_days import BO, place, planned, shop, told

CUT = Task(0, 60, "cut", tail=5)
FIT = Task(0, 60, "fit", after=(After(0),))
HANG = Task(1, 400, "hang")
ORDERS = (Order("Box", due=100, weight=5), Order("Door", due=500), Order("Shelf", due=0))
SHOP = shop(CUT, FIT, HANG, orders=ORDERS)
PLAN = planned(SHOP, place(0, 0, 60, 60, 0), place(2, 0, 460, 460, 1), place(1, 60, 120, 120, 0))


def test_a_plan_that_keeps_everything() -> None:
    """The Box is ready at 120, 20 late; the Door at 460; the Shelf has no stages."""
    assert PLAN.ready == (120, 460, None)
    assert PLAN.worth == Worth(0, 5 * 20, 120 + 460)
    assert check(SHOP, PLAN) == ()


def test_nothing_to_plan() -> None:
    assert check(Problem((), ()), Plan((), Worth(0, 0, 0), ())) == ()
    assert check(shop(), Plan((), Worth(0, 0, 0), (None,))) == ()


def test_a_tail_counts() -> None:
    problem = shop(CUT)
    assert planned(problem, place(0, 0, 60, 60, 0)).ready == (65,)
    assert told(problem, place(0, 0, 60, 60, 0)) == ()


@pytest.mark.parametrize(
    ("ready", "worth", "sentences"),
    [
        ((121, 460, None), PLAN.worth, ("“Box” is ready at 120; the plan says 121.",)),
        ((120, None, None), PLAN.worth, ("“Door” is ready at 460; the plan says None.",)),
        ((120, 460, 0), PLAN.worth, ("“Shelf” is ready at None; the plan says 0.",)),
        (
            PLAN.ready,
            Worth(0, 20, 580),
            ("The plan costs 0 missed waits, 100 late and 580 until ready; it says 0, 20 and 580.",),
        ),
        (
            PLAN.ready,
            Worth(1, 100, 580),
            ("The plan costs 0 missed waits, 100 late and 580 until ready; it says 1, 100 and 580.",),
        ),
        (
            PLAN.ready,
            Worth(0, 100, 579),
            ("The plan costs 0 missed waits, 100 late and 580 until ready; it says 0, 100 and 579.",),
        ),
    ],
)
def test_readiness_and_worth_are_reckoned_again(
    ready: tuple[int | None, ...], worth: Worth, sentences: tuple[str, ...]
) -> None:
    assert check(SHOP, replace(PLAN, ready=ready, worth=worth)) == sentences


def left(task: int, why: Literal["people", "after"], sentence: str = "It waits.") -> Left:
    return Left(task, why, sentence)


def test_what_is_left_takes_along_what_waits_for_it() -> None:
    hang = place(2, 0, 460, 460, 1)
    both = planned(SHOP, hang, left=(left(0, "people"), left(1, "after")))
    assert check(SHOP, both) == ()
    one = planned(SHOP, place(1, 0, 60, 60, 0), hang, left=(left(0, "people"),))
    assert check(SHOP, one) == ("“fit” is placed, but “cut” before it is left out.",)
    in_hand = replace(SHOP, tasks=(CUT, replace(FIT, begun=(0,)), HANG))
    assert check(in_hand, one) == ()


def test_one_of_two_that_is_left_is_enough() -> None:
    """It waits for a cut that is placed and a glue-up that is not."""
    both = shop(CUT, Task(0, 30, "glue"), Task(0, 60, "fit", after=(After(0), After(1))))
    gone = (left(1, "people"), left(2, "after"))
    assert check(both, planned(both, place(0, 0, 60, 60, 0), left=gone)) == ()


def test_each_task_is_there_once() -> None:
    cut, hang, fit = PLAN.placed
    missing = planned(SHOP, cut, hang)
    assert check(SHOP, missing) == ("“fit” is in the plan 0 times; it must be placed or left, once.",)
    twice = planned(SHOP, cut, hang, fit, fit)
    assert check(SHOP, twice) == ("“fit” is in the plan 2 times; it must be placed or left, once.",)
    both = planned(SHOP, cut, hang, fit, left=(left(1, "people"),))
    assert check(SHOP, both) == ("“fit” is in the plan 2 times; it must be placed or left, once.",)


def test_what_is_left_says_why_and_says_it_rightly() -> None:
    cut, hang, _ = PLAN.placed
    silent = planned(SHOP, cut, hang, left=(left(1, "people", " "),))
    assert check(SHOP, silent) == ("“fit” is left out and the plan doesn't say why.",)
    wrong = planned(SHOP, cut, hang, left=(left(1, "after"),))
    assert check(SHOP, wrong) == ("“fit” is said to wait for one that is left out, and waits for none such.",)


def test_they_are_listed_in_the_order_of_their_starts() -> None:
    cut, hang, fit = PLAN.placed
    assert check(SHOP, replace(PLAN, placed=(hang, cut, fit))) == ()
    assert check(SHOP, replace(PLAN, placed=(cut, fit, hang))) == (
        "“hang” is listed after “fit”, which begins later.",
    )


def test_nothing_ends_past_the_last_minute() -> None:
    assert check(replace(SHOP, horizon=460), PLAN) == ()
    assert check(replace(SHOP, horizon=459), PLAN) == ("“hang” ends at 460, past the last minute, 459.",)


def test_numbers_that_name_nothing_are_told_alone() -> None:
    cut, *rest = PLAN.placed
    assert check(SHOP, replace(PLAN, placed=(*PLAN.placed, place(9, 0, 0, 0)))) == ("There is no task 9.",)
    assert check(SHOP, replace(PLAN, missed=(Missed(1, -1, 5),))) == ("There is no task -1.",)
    assert check(SHOP, replace(PLAN, ready=(1,))) == ("The plan says when 1 orders are ready; there are 3.",)
    assert check(SHOP, replace(PLAN, placed=(replace(cut, workers=(2,)), *rest))) == (
        "“cut” is given to worker 2, whom there is not.",
    )


def test_each_broken_rule_is_told_by_itself() -> None:
    """Too early, at the same time as other work, and past the horizon: three sentences."""
    early = planned(SHOP, place(0, 0, 60, 60, 0), place(2, 0, 460, 460, 1), place(1, 59, 119, 119, 0))
    assert check(replace(SHOP, horizon=459), early) == (
        "“hang” ends at 460, past the last minute, 459.",
        "“fit” begins at 59; after “cut” it may not begin before 60.",
        "Ada is at “cut” and “fit” at the same time.",
    )


def test_a_worker_who_is_at_work_later_in_the_list() -> None:
    """Workers are named by their place in the problem."""
    problem = shop(CUT, workers=(replace(BO, spans=(), days=()), BO))
    assert told(problem, place(0, 0, 60, 60, 1)) == ()
    assert told(problem, place(0, 0, 60, 60, 0)) == (
        "“cut” has its people for 0 minutes of work, where 60 are needed.",
    )
