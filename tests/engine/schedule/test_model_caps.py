from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_caps import Caps, Goal, caps_of
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.shapes.planned import After, Order, Problem, Task
from tests.engine.schedule.hands import DAY, problem


def shop(*dues: int | None, weight: int = 1) -> Problem:
    """Orders of 100 minutes each, for one person."""
    orders = tuple(Order(f"job {n}", due, weight) for n, due in enumerate(dues))
    return problem(*(Task(n, 100) for n in range(len(dues))), orders=orders)


def caps(given: Problem, goal: Goal, slack: int = 10_000) -> Caps:
    return caps_of(given, build(given, range(len(given.tasks))), People(given, apart=True), goal, slack)


def test_kept_dates_and_what_the_flow_leaves() -> None:
    """Ready at 100 and 200: no better plan has the one after its date, or the other past 300 less 100."""
    assert caps(shop(150, None), "flow") == Caps({0: 150, 1: 200}, True, None)


def test_what_is_late_leaves_each_order_its_date_and_the_rest() -> None:
    """Dates at 120 and 90: ready at 100 and 200, late 110, of which 10 must be."""
    assert caps(shop(120, 90), "late") == Caps({0: 220, 1: 200}, True)


def test_a_heavy_order_may_be_late_by_less() -> None:
    assert caps(shop(120, 90, weight=5), "late") == Caps({0: 220, 1: 200}, True)
    assert caps(shop(120, 97, weight=2), "late").at == {0: 220, 1: 200}


def test_slack_cuts_and_says_from_which_flow_on_that_matters() -> None:
    """Three by themselves: 100, 200, 330 with the lunch. Any may be ready at 430; we look until 340."""
    found = caps(shop(None, None, None), "flow", slack=10)
    assert found == Caps({0: 340, 1: 340, 2: 340}, True, 540)
    assert found.hold(540)
    assert not found.hold(541)


def test_a_cut_date_makes_it_unsure() -> None:
    assert not caps(shop(120, 90), "late", slack=5).sure


def test_missed_waits_make_everything_unsure() -> None:
    """A coat that must follow within five minutes, at lunch."""
    given = problem(Task(0, 240, latest=0), Task(0, 20, pause="none", after=(After(0, 0, 5),), latest=0))
    found = caps(given, "missed", slack=DAY)
    assert not found.sure
    assert not found.hold(0)


def test_what_is_in_hand_without_a_date_is_no_doubt() -> None:
    begun = problem(
        Task(0, 60, begun=(0,)), Task(1, 100), orders=(Order("in hand"), Order("late", 100)), people=1
    )
    assert caps(begun, "late", slack=50) == Caps({0: 210, 1: 160}, True)
