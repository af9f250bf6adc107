"""What can never be planned, and why."""

from dataclasses import replace

from shoptrack.engine.schedule.problem import crews_of, in_order, late_min, trouble, worth_of
from shoptrack.engine.shapes.planned import After, Order, Resource, Task, Worth
from tests.engine.schedule.hands import problem, worker


def whys(*tasks: Task, people: int = 1, clamps: int = 4) -> dict[int, tuple[str, str]]:
    found = trouble(problem(*tasks, people=people, resources=(Resource("clamps of 24″", clamps),)))
    return {each.task: (each.why, each.sentence) for each in found}


def test_nothing_is_wrong_with_a_plain_job_or_with_none() -> None:
    assert whys(Task(0, 60), Task(0, 30, after=(After(0),))) == {}
    assert whys() == {}


def test_more_clamps_than_owned() -> None:
    found = whys(Task(0, 60, "glue-up K7", keeps=((0, 6),)), clamps=4)
    assert found == {0: ("resource", "glue-up K7 wants 6 × clamps of 24″ at once; there are 4.")}
    assert "there are none" in whys(Task(0, 60, "glue-up K7", keeps=((0, 6),)), clamps=0)[0][1]


def test_more_people_than_there_are_and_nobody_who_may() -> None:
    found = whys(Task(0, 60, "long panel", crew=2), Task(1, 60, "spraying", able=frozenset()))
    assert found[0] == ("people", "long panel wants 2 people at once; 1 may do it.")
    assert found[1] == (
        "able",
        "Nobody here may do spraying: say under Shop → People who does.",
    )


def test_longer_than_anybody_has_without_a_pause() -> None:
    """Mornings and afternoons have four hours each."""
    found = whys(Task(0, 241, "glue-up", pause="none"), Task(1, 481, "coat", pause="lunch"))
    assert {n: why for n, (why, _) in found.items()} == {0: "hours", 1: "hours"}
    assert "without a pause" in found[0][1]
    assert "within one day" in found[1][1]


def test_nobody_at_work_this_week() -> None:
    """A rest goes on by itself; all that needs hands waits for somebody to come."""
    rest, sawing = Task(0, 60, "rest", crew=0), Task(0, 60, "sawing")
    found = trouble(problem(rest, sawing, workers=(worker(0, days=0),)))
    assert [(each.task, each.why) for each in found] == [(1, "people")]


def test_two_who_never_meet() -> None:
    odd, even = (worker(n, days=4, free=free) for n, free in ((0, (0, 2)), (1, (1, 3))))
    found = trouble(problem(Task(0, 10, "lift", crew=2), workers=(odd, even)))
    assert [each.why for each in found] == ["hours"]


def test_a_ring_and_what_waits_for_it() -> None:
    ring = (Task(0, 5, "a", after=(After(1),)), Task(0, 5, "b", after=(After(0),)))
    found = whys(*ring, Task(0, 5, "c", after=(After(1),)))
    assert {n: why for n, (why, _) in found.items()} == {0: "ring", 1: "ring", 2: "after"}
    assert found[2][1] == "c waits for b."
    assert in_order(problem(*ring, Task(0, 5), Task(0, 5, after=(After(2),)))) == (2, 3)


def test_what_is_in_hand_is_never_in_the_way() -> None:
    assert whys(Task(0, 500, "glue-up", pause="none", keeps=((0, 9),), begun=(0,))) == {}


def test_lateness_is_weighed_and_flow_counts_all() -> None:
    two = problem(Task(0, 1), Task(1, 1), orders=(Order("a", 100, 5), Order("b", None)))
    assert late_min(two, (110, 900)) == 50
    assert worth_of(two, (110, 900), 1) == Worth(1, 50, 1010)
    assert worth_of(two, (None, 90), 0) == Worth(0, 0, 90)
    assert Worth(0, 99, 99) < Worth(1, 0, 0)


def test_crews() -> None:
    three = problem(people=3)
    assert crews_of(three, Task(0, 10, crew=2)) == ((0, 1), (0, 2), (1, 2))
    assert crews_of(three, replace(Task(0, 10), able=frozenset({2, 0}))) == ((0,), (2,))
    assert crews_of(three, Task(0, 10, crew=0)) == ((),)
