"""Waits between tasks: too short, too long and not told, told and not true."""

from dataclasses import replace

from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.check_waits import named, waits_broken
from shoptrack.engine.shapes.planned import After, Missed, Plan, Problem, Task
from tests.engine.schedule.two_days import place, planned, shop, told

GLUE = Task(0, 30, "glue")
PLANE = Task(0, 60, "plane", after=(After(0, least=90),))
COAT = Task(0, 20, "second coat", after=(After(0, least=60, greatest=120),))


def test_the_least_wait() -> None:
    """Glued at 30, planed at 120 at the earliest."""
    problem = shop(GLUE, PLANE)
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 120, 180, 180, 0)) == ()
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 119, 179, 179, 0)) == (
        "“plane” begins at 119; after “glue” it may not begin before 120.",
    )


def test_an_overlap_that_is_allowed() -> None:
    problem = shop(GLUE, replace(PLANE, after=(After(0, least=-10),)))
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 20, 80, 80, 1)) == ()
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 19, 79, 79, 1)) == (
        "“plane” begins at 19; after “glue” it may not begin before 20.",
    )


def coats(start: int) -> tuple[Problem, Plan]:
    """A second coat that begins at a minute; its window after the first, glued at 30, is from 90 to 150."""
    problem = shop(GLUE, COAT)
    return problem, planned(problem, place(0, 0, 30, 30, 0), place(1, start, start + 20, start + 20, 0))


def test_a_greatest_wait_that_is_kept() -> None:
    problem, plan = coats(150)
    assert plan.missed == ()
    assert check(problem, plan) == ()


def test_a_greatest_wait_that_is_missed_and_told() -> None:
    problem, plan = coats(155)
    assert plan.missed == (Missed(1, 0, 5),)
    assert check(problem, plan) == ()


def test_a_greatest_wait_that_is_missed_and_not_told() -> None:
    problem, plan = coats(155)
    silent = replace(plan, missed=(), worth=replace(plan.worth, missed=0))
    assert check(problem, silent) == (
        "“second coat” begins 5 minutes too late after “glue”; that is not told.",
    )


def test_a_missed_wait_that_is_told_with_another_number() -> None:
    problem, plan = coats(155)
    assert check(problem, replace(plan, missed=(Missed(1, 0, 4),))) == (
        "“second coat” begins 5 minutes too late after “glue”; the plan says 4.",
    )


def test_a_missed_wait_that_is_told_twice() -> None:
    problem, plan = coats(155)
    twice = replace(plan, missed=plan.missed * 2, worth=replace(plan.worth, missed=2))
    assert check(problem, twice) == (
        "“second coat” begins 5 minutes too late after “glue”; the plan says 5 and 5.",
    )


def test_a_wait_that_is_told_as_missed_and_is_kept() -> None:
    problem, plan = coats(150)
    told_so = replace(plan, missed=(Missed(1, 0, 5),), worth=replace(plan.worth, missed=1))
    assert check(problem, told_so) == ("“second coat” is told to begin too late after “glue”, and does not.",)


def test_a_latest_start_is_a_greatest_wait_of_a_task_after_itself() -> None:
    """To begin by 100, begun at 120."""
    problem = shop(replace(GLUE, latest=100))
    assert told(problem, place(0, 100, 130, 130, 0)) == ()
    plan = planned(problem, place(0, 120, 150, 150, 0))
    assert plan.missed == (Missed(0, 0, 20),)
    assert check(problem, plan) == ()
    silent = replace(plan, missed=(), worth=replace(plan.worth, missed=0))
    assert check(problem, silent) == (
        "“glue” begins 20 minutes too late after its latest start; that is not told.",
    )


def test_what_is_begun_waits_for_nothing() -> None:
    """Planed before the glue is dry: it is in hand now, and the plan can't change that."""
    problem = shop(GLUE, replace(PLANE, begun=(1,), latest=-5))
    assert told(problem, place(1, 0, 60, 60, 1), place(0, 10, 40, 40, 0)) == ()


def test_of_two_waits_for_the_same_task_both_are_kept() -> None:
    problem = shop(GLUE, replace(PLANE, after=(After(0, 10), After(0, 90, 100))))
    late = planned(problem, place(0, 0, 30, 30, 0), place(1, 140, 200, 200, 0))
    assert check(problem, late) == ()
    assert late.missed == (Missed(1, 0, 10),)
    at = {each.task: each for each in late.placed}
    assert [*waits_broken(problem, at, ())] == [
        "“plane” begins 10 minutes too late after “glue”; that is not told."
    ]


def test_what_a_task_is_called() -> None:
    assert named(shop(GLUE, replace(GLUE, name="")), 0) == "“glue”"
    assert named(shop(GLUE, replace(GLUE, name="")), 1) == "Task 1"
