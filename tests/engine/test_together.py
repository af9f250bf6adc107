"""Doing stages of several jobs with one set-up."""

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task
from shoptrack.engine.together import join, try_together
from tests.engine.schedule.hands import problem, times

PLANER = Resource("planer", 1)


def milling(order: int, earliest: int = 0) -> Task:
    return Task(order, 50, f"milling {order}", uses=((0, 1),), earliest=earliest)


def three(*dues: int | None, earliest: int = 0) -> Problem:
    """Three jobs to mill, fifty minutes each, twenty of them set-up; the third from ``earliest`` on."""
    tasks = (milling(0), milling(1), milling(2, earliest), Task(0, 30, after=(After(0),)))
    return problem(
        *tasks, resources=(PLANER,), orders=tuple(Order(f"job {n}", d) for n, d in enumerate(dues))
    )


def test_three_together_save_two_set_ups_and_move_no_date() -> None:
    """Apart 0-50-100-150; together 0-110, then the first job's half hour."""
    shop = three(400, 400, 400)
    plan = build(shop, (0, 1, 2, 3))
    found = try_together(shop, plan, (0, 1, 2), (20, 20, 20))
    assert found is not None
    assert (found.saved_min, found.start) == (40, 0)
    assert found.moves_no_date
    assert found.later_min == (140 - 180, 110 - 100, 110 - 150)


def test_a_date_that_suffers_is_said() -> None:
    """The first was promised at an hour's end; with the others in front or beside it, it is late."""
    shop = three(80, None, None)
    plan = build(shop, (0, 3, 1, 2))
    found = try_together(shop, plan, (0, 1, 2), (20, 20, 20))
    assert found is not None
    assert not found.moves_no_date
    assert found.late_min == 140 - 80


def test_they_wait_for_the_last_that_can_begin() -> None:
    shop = three(None, None, None, earliest=100)
    found = try_together(shop, build(shop, (0, 1, 2, 3)), (0, 1, 2), (20, 20, 20))
    assert found is not None
    assert found.start == 100


def test_one_alone_or_without_a_set_up_saves_nothing() -> None:
    shop = three(None, None, None)
    plan = build(shop, (0, 1, 2, 3))
    assert try_together(shop, plan, (0,), (20,)) is None
    assert try_together(shop, plan, (0, 1), (0, 0)) is None
    assert try_together(shop, plan, (0, 1), (20, 0)) is None


def test_clamps_of_all_are_needed_at_once() -> None:
    """Two glue-ups of three clamps each can't be done together with five."""
    glue = [Task(n, 30, pause="none", keeps=((0, 3),), off=60) for n in (0, 1)]
    shop = problem(*glue, resources=(Resource("clamps", 5),))
    assert try_together(shop, build(shop, (0, 1)), (0, 1), (10, 10)) is None
    enough = problem(*glue, resources=(Resource("clamps", 6),))
    found = try_together(enough, build(enough, (0, 1)), (0, 1), (10, 10))
    assert found is not None
    assert found.saved_min == 10


def test_what_follows_each_still_does() -> None:
    tasks = (Task(0, 50), Task(1, 50), Task(0, 10, after=(After(0, 60),)), Task(1, 10, after=(After(1, 90),)))
    joined = join(problem(*tasks), (0, 1), 20)
    assert times(build(joined, (0, 1, 2, 3))) == {0: (0, 80), 1: (80, 80), 2: (140, 150), 3: (170, 180)}
