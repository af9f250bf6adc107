"""Everything that could be worth doing, tried."""

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import After, Order, Resource, Task
from shoptrack.engine.worthwhile import Group, Tries, Worthwhile, worthwhile
from tests.engine.schedule.hands import CLOSING, DAY, problem


def test_of_a_group_as_many_as_move_no_date() -> None:
    """Three to mill, fifty minutes each with twenty of set-up; the first is promised for ninety minutes.

    Two together are done at 80, three at 110.
    """
    tasks = [Task(n, 50, f"milling {n}") for n in range(3)]
    shop = problem(*tasks, orders=(Order("a", 90), Order("b"), Order("c")))
    plan = build(shop, (0, 1, 2))
    found = worthwhile(Tries(shop, plan, (Group((0, 1, 2), (20, 20, 20)),)))
    assert [(one.tasks, one.saved_min) for one in found.together] == [((0, 1), 20)]


def test_the_group_that_saves_most_comes_first_and_the_night_is_tried() -> None:
    glue = Task(2, 20, "glue-up", pause="none", keeps=((0, 1),), off=60)
    plane = Task(2, 60, "planing", after=(After(4, least=600),))
    tasks = [Task(0, 50), Task(1, 50), Task(0, 30), Task(1, 30), glue, plane]
    shop = problem(*tasks, resources=(Resource("clamps", 1),))
    plan = build(shop, tuple(range(6)))
    groups = (Group((0, 1), (5, 5)), Group((2, 3), (20, 10)))
    found = worthwhile(Tries(shop, plan, groups, (4,), CLOSING, DAY))
    assert [one.saved_min for one in found.together] == [10, 5]
    assert [night.placed.task for night in found.nights] == [4]


def test_nothing_to_try() -> None:
    assert worthwhile(Tries(problem(), build(problem(), ()))) == Worthwhile()
