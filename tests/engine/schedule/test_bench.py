"""A problem set out for the builders, worked out by hand."""

from shoptrack.engine.schedule.bench import bench_of
from shoptrack.engine.shapes.planned import After, Resource, Task
from tests.engine.schedule.hands import CLOSING, DAY, LUNCH_OVER, problem, worker

CLAMPS = Resource("clamps", 6)


def test_hours_of_a_crew_are_those_they_have_in_common() -> None:
    """One is away on the second day: two together are at work on the first and the third."""
    shop = problem(Task(0, 30, crew=2), workers=(worker(1, 3), worker(2, 3, free=(1,))), horizon=3 * DAY)
    bench = bench_of(shop)
    assert bench.crews == (((0, 1),),)
    assert set(bench.axes) == {(0, 1)}
    assert bench.axes[0, 1].next(CLOSING) == 2 * DAY
    assert bench.hours[0].next(CLOSING) == DAY
    assert bench.anybody.next(CLOSING) == DAY
    assert bench.anybody.next(240) == LUNCH_OVER


def test_only_crews_of_those_who_may_are_tried() -> None:
    tasks = (Task(0, 30, able=frozenset({2, 0})), Task(0, 30), Task(0, 30, crew=0))
    bench = bench_of(problem(*tasks, people=3))
    assert bench.crews == (((0,), (2,)), ((0,), (1,), (2,)), ((),))


def test_what_is_in_hand_is_fixed_by_whoever_has_it() -> None:
    """They may not do it by the list, and three are no crew of a task for one: their hours are there."""
    begun = Task(0, 60, able=frozenset(), begun=(0, 2))
    bench = bench_of(problem(begun, Task(0, 30, after=(After(0),)), people=3))
    assert bench.fixed == {0}
    assert bench.axes[0, 2].next(240) == LUNCH_OVER
    assert bench.left == ()


def test_what_can_never_be_planned_has_no_crew_and_is_left() -> None:
    tasks = (Task(0, 30, "panel", crew=2), Task(0, 30, "coat", after=(After(0),)), Task(1, 30))
    bench = bench_of(problem(*tasks, people=1))
    assert [(each.task, each.why) for each in bench.left] == [(0, "people"), (1, "after")]
    assert bench.crews == ((), (), ((0,),))


def test_a_thing_that_is_used_and_kept_is_counted_once_with_both() -> None:
    """Clamps that are used and clamps that stay on; those that are only kept stand with what is kept."""
    both = Task(0, 30, uses=((0, 1), (1, 1), (0, 1)), keeps=((0, 3),))
    kept = Task(0, 30, keeps=((0, 2), (0, 1)))
    bench = bench_of(problem(both, kept, resources=(CLAMPS, Resource("saw", 1))))
    assert [dict(each) for each in bench.uses] == [{0: 5, 1: 1}, {}]
    assert [dict(each) for each in bench.keeps] == [{0: 3}, {0: 3}]


def test_who_comes_after_whom() -> None:
    """A chain of four with the third in hand: what follows it does not wait for the first any more."""
    third = Task(0, 10, after=(After(1),), begun=(0,))
    tasks = (Task(0, 10), Task(0, 10, after=(After(0),)), third, Task(0, 10, after=(After(2),)))
    bench = bench_of(problem(*tasks))
    assert bench.followers == ((1,), (2,), (3,), ())
    assert bench.waits == (0, 1, 1, 1)
    assert bench.order == (0, 1, 2, 3)
    assert bench.all_after(0) == {1}
    assert bench.all_after(2) == {3}


def test_all_that_comes_after_is_found_once_over_two_ways() -> None:
    """A frame whose door and back meet again at the fitting."""
    tasks = [Task(0, 10), *(Task(0, 10, after=(After(0),)) for _ in range(2))]
    tasks.append(Task(0, 10, after=(After(1), After(2))))
    bench = bench_of(problem(*tasks))
    assert bench.all_after(0) == {1, 2, 3}
    assert bench.waits == (0, 1, 1, 2)


def test_a_bench_is_set_out_once() -> None:
    """The same problem has the same bench; another that looks alike has its own, equal in what it says."""
    one, other = problem(Task(0, 30)), problem(Task(0, 30))
    assert bench_of(one) is bench_of(one)
    assert bench_of(other) is not bench_of(one)
    assert bench_of(other).crews == bench_of(one).crews


def test_what_is_closed_is_taken_from_the_start() -> None:
    away = Resource("saw", 1, ((0, 100),))
    bench = bench_of(problem(Task(0, 30, uses=((0, 1),)), resources=(away,)))
    assert bench.profiles[0].busy_until(0, 50, 1) == 100
    assert bench.profiles[0].busy_until(100, 150, 1) is None
