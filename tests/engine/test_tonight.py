"""What to put in clamps before going home."""

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task
from shoptrack.engine.tonight import cures_overnight, nights_of
from tests.engine.schedule.hands import CLOSING, DAY, problem

CLAMPS = Resource("clamps", 4)


def evening(due: int | None = None, clamps: int = 3) -> Problem:
    """Half past three: half an hour of sanding and a glue-up of twenty minutes that cures for ten hours.

    Its job has an hour of planing after that; the sanding is another's.
    """
    tasks = (
        Task(0, 30, "sanding", earliest=450),
        Task(1, 20, "glue-up", earliest=450, pause="none", keeps=((0, clamps),), off=60),
        Task(1, 60, "planing", after=(After(1, least=600),)),
    )
    return problem(*tasks, orders=(Order("a"), Order("b", due)), resources=(CLAMPS,))


def test_the_night_gains_half_a_day() -> None:
    """Closed tonight it is planed by nine; tomorrow at eight it would be fit at 18:20, so a day later."""
    shop = evening()
    (night,) = nights_of(shop, build(shop, (0, 1, 2)), (1,), CLOSING, DAY)
    assert (night.placed.start, night.placed.end) == (450, 470)
    assert night.later_min[1] == DAY
    assert night.late_min == 0


def test_a_promise_that_hangs_on_it_is_weighed() -> None:
    shop = evening(due=DAY + 480)
    (night,) = nights_of(shop, build(shop, (0, 1, 2)), (1,), CLOSING, DAY)
    assert night.late_min == DAY + 60 - 480


def test_what_finds_no_time_or_no_clamps_tonight_is_not_said() -> None:
    shop = evening()
    assert nights_of(shop, build(shop, (0, 1, 2)), (1,), 460, DAY) == ()
    held = (Task(0, 0, "in clamps", crew=0, keeps=((0, 2),), off=600, begun=()), *evening().tasks[1:2])
    none = problem(*held, orders=(Order("a"), Order("b")), resources=(CLAMPS,))
    assert nights_of(none, build(none, (0, 1)), (1,), CLOSING, DAY) == ()


def test_what_nobody_waits_for_is_not_said() -> None:
    """The job is held up for two days by something else; its coat can as well be laid tomorrow."""
    alone = problem(Task(0, 3000, crew=0), Task(0, 20, tail=600), orders=(Order("a"),))
    assert nights_of(alone, build(alone, (0, 1)), (1,), CLOSING, DAY) == ()


def test_what_cures() -> None:
    shop = evening()
    assert [cures_overnight(shop, n) for n in range(3)] == [False, True, False]
