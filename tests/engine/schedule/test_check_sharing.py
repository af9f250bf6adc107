"""What two tasks can't have at once: a person, a station, clamps, a room with dust and wet coats."""

from dataclasses import replace

import pytest

from shoptrack.engine.schedule.check_hours import anybody_at_work
from shoptrack.engine.schedule.check_sharing import sharing_broken
from shoptrack.engine.shapes.planned import Placed, Problem, Resource, Task
from tests.engine.schedule.two_days import place, shop, told

SAND = Task(0, 60, "sand")
PLANE = Task(0, 60, "plane", uses=((0, 1),))
GLUE = Task(0, 30, "glue", keeps=((0, 3),), off=60)
PRESS = Task(0, 30, "press", keeps=((0, 2),), off=60)
COAT = Task(0, 20, "coat", room=1, wet=60)
SAW = Task(0, 30, "saw", room=1, dusty=True)
PLANER = Resource("planer", 1)
CLAMPS = Resource("clamps", 4)


def test_a_person_at_two_things() -> None:
    """Free at 60 for the next; at 59 not."""
    problem = shop(SAND, PLANE, resources=(PLANER,))
    assert told(problem, place(0, 0, 60, 60, 0), place(1, 60, 120, 120, 0)) == ()
    assert told(problem, place(0, 0, 60, 60, 0), place(1, 59, 119, 119, 1)) == ()
    assert told(problem, place(0, 0, 60, 60, 0), place(1, 59, 119, 119, 0)) == (
        "Ada is at “sand” and “plane” at the same time.",
    )


def test_a_person_is_at_it_over_lunch_too() -> None:
    """From 200 to 320 with lunch from 240: nothing else may be begun before the work is done."""
    problem = shop(SAND, replace(SAND, name="fit", work=10))
    assert told(problem, place(0, 200, 320, 320, 0), place(1, 300, 310, 310, 0)) == (
        "Ada is at “sand” and “fit” at the same time.",
    )


def test_a_person_is_free_while_the_machine_runs() -> None:
    """Hands for twenty minutes; the rest is watched by whoever is there."""
    problem = shop(replace(SAND, hands=20, watched=True), replace(SAND, name="fit"))
    assert told(problem, place(0, 0, 20, 60, 0), place(1, 20, 80, 80, 0)) == ()


def test_a_long_task_is_met_by_two_short_ones() -> None:
    """Sanding until 200 by Ada, who fits twice meanwhile: both are told, the second not against the first."""
    fit = Task(0, 10, "fit")
    problem = shop(replace(SAND, work=200), fit, replace(fit, name="hang"))
    found = told(problem, place(0, 0, 200, 200, 0), place(1, 10, 20, 20, 0), place(2, 30, 40, 40, 0))
    assert found == (
        "Ada is at “sand” and “fit” at the same time.",
        "Ada is at “sand” and “hang” at the same time.",
    )


def test_a_station_for_one() -> None:
    problem = shop(PLANE, replace(PLANE, name="joint"), resources=(PLANER,))
    assert told(problem, place(0, 0, 60, 60, 0), place(1, 60, 120, 120, 1)) == ()
    assert told(problem, place(0, 0, 60, 60, 0), place(1, 59, 119, 119, 1)) == (
        "With “joint”, 2 × planer are held at 59; the shop has 1.",
    )


def test_who_comes_too_many_is_told_once() -> None:
    """Three at the planer from 0, 30 and 40 on; what takes none of it, or no time, is not to blame."""
    plane = replace(PLANE, crew=0)
    idle = replace(plane, name="look", uses=((0, 0),))
    word = replace(plane, name="word", work=0)
    problem = shop(
        plane, replace(plane, name="joint"), replace(plane, name="thin"), idle, word, resources=(PLANER,)
    )
    places = [place(n, at, at, at + 60) for n, at in enumerate((0, 30, 40, 42))]
    assert told(problem, *places, place(4, 45, 45, 45)) == (
        "With “joint”, 2 × planer are held at 30; the shop has 1.",
        "With “thin”, 3 × planer are held at 40; the shop has 1.",
    )


def test_two_that_come_together_are_told_together() -> None:
    plane = replace(PLANE, crew=0)
    problem = shop(plane, replace(plane, name="joint"), resources=(PLANER,))
    assert told(problem, place(0, 5, 5, 65), place(1, 5, 5, 65)) == (
        "With “plane” and “joint”, 2 × planer are held at 5; the shop has 1.",
    )


def test_clamps_are_held_until_they_may_come_off() -> None:
    """Three from 0 to 90, thirty minutes of glueing and sixty in clamps; four are there."""
    problem = shop(GLUE, PRESS, resources=(CLAMPS,))
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 90, 120, 120, 1)) == ()
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 89, 119, 119, 1)) == (
        "With “press”, 5 × clamps are held at 89; the shop has 4.",
    )
    enough = shop(GLUE, PRESS, resources=(replace(CLAMPS, capacity=5),))
    assert told(enough, place(0, 0, 30, 30, 0), place(1, 40, 70, 70, 1)) == ()


@pytest.mark.parametrize(("start", "free"), [(1439, False), (1440, True)])
def test_clamps_are_held_until_somebody_is_at_work(start: int, free: bool) -> None:
    """Off at 580, in the evening: taken off on the next morning, at 1440."""
    press = replace(PRESS, crew=0)
    problem = shop(GLUE, press, resources=(CLAMPS,))
    found = told(problem, place(0, 490, 520, 520, 0), place(1, start, start, start + 30))
    assert found == (() if free else ("With “press”, 5 × clamps are held at 1439; the shop has 4.",))


def test_clamps_where_nobody_comes_any_more_and_where_there_is_nobody() -> None:
    """Off after the last hour of the plan: never. Without workers the minute itself counts."""
    problem = shop(replace(GLUE, crew=0), replace(PRESS, crew=0), resources=(CLAMPS,))
    places = (place(0, 1900, 1900, 1930), place(1, 1990, 1990, 2020))
    assert told(problem, *places) == ("With “press”, 5 × clamps are held at 1990; the shop has 4.",)
    assert told(replace(problem, workers=()), *places) == ()


@pytest.mark.parametrize(
    ("start", "closed"), [(40, False), (41, True), (100, True), (149, True), (150, False)]
)
def test_a_station_that_is_closed(start: int, closed: bool) -> None:
    """The planer is closed from 100 to 150."""
    problem = shop(PLANE, resources=(replace(PLANER, closed=((0, 10), (100, 150))),))
    found = told(problem, place(0, start, start + 60, start + 60, 0))
    assert found == (("“plane” holds planer, which is closed from 100 to 150.",) if closed else ())


def at(problem: Problem, *places: Placed) -> list[str]:
    found = {each.task: each for each in places}
    return [*sharing_broken(problem, found, anybody_at_work(problem.workers))]


@pytest.mark.parametrize(("sawn", "kept"), [(10, True), (11, False), (50, False), (119, False), (120, True)])
def test_dust_and_a_wet_coat(sawn: int, kept: bool) -> None:
    """Coated from 40 to 60, wet until 120; sawing takes thirty minutes."""
    places = (place(0, 40, 60, 60, 0), place(1, sawn, sawn + 30, sawn + 30, 1))
    found = at(shop(COAT, SAW), *places)
    assert bool(found) != kept
    assert all("“saw”" in f and "“coat”" in f and "dust" in f for f in found)
    assert at(shop(COAT, replace(SAW, room=2)), *places) == []
    assert at(shop(COAT, replace(SAW, room=None)), *places) == []


def test_two_coats_and_two_saws_get_on_with_each_other() -> None:
    """Two coats in one room, and one dusty coat by itself."""
    both = shop(COAT, replace(COAT, name="top coat"), replace(COAT, room=2, dusty=True))
    found = at(both, place(0, 0, 20, 20, 0), place(1, 10, 30, 30, 1), place(2, 40, 60, 60, 1))
    assert found == []
    assert at(shop(SAW, SAW), place(0, 0, 30, 30, 0), place(1, 10, 40, 40, 1)) == []


def test_what_was_in_hand_already_shares_with_its_like() -> None:
    """Ada has two things in hand, at one planer that is closed, one of them dusty beside a wet coat."""
    dusty = replace(PLANE, begun=(0,), dusty=True, room=1)
    wet = replace(COAT, work=60, begun=(0,), uses=((0, 1),))
    shut = shop(dusty, wet, replace(PLANE, name="joint"), resources=(replace(PLANER, closed=((0, 50),)),))
    fixed = (place(0, 0, 60, 60, 0), place(1, 0, 60, 60, 0))
    assert told(shut, *fixed, place(2, 60, 120, 120, 0)) == ()
    assert told(shut, *fixed, place(2, 59, 119, 119, 1)) == (
        "With “joint”, 3 × planer are held at 59; the shop has 1.",
    )


@pytest.mark.parametrize(
    ("task", "sentence"),
    [
        (replace(SAND, work=20), "Ada is at “saw” and “sand” at the same time."),
        (
            replace(COAT, name="sand"),
            "One of “saw” and “sand” makes dust in the room where the other is wet.",
        ),
    ],
)
def test_what_begins_shares_nothing_with_what_is_in_hand(task: Task, sentence: str) -> None:
    worker = 1 if task.wet else 0
    problem = shop(replace(SAW, begun=(0,)), task)
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 29, 49, 49, worker)) == (sentence,)
    assert told(problem, place(0, 0, 30, 30, 0), place(1, 30, 50, 50, worker)) == ()


def test_tasks_of_no_minutes_are_in_nobody_s_way() -> None:
    nothing = Task(0, 0, "word", uses=((0, 1), (1, 1)), room=1, dusty=True)
    shut = Resource("booth", 1, closed=((0, 100),))
    plane = replace(PLANE, uses=((0, 1), (1, 0)))
    problem = shop(plane, nothing, replace(COAT, work=60), resources=(PLANER, shut))
    places = (place(0, 0, 60, 60, 0), place(1, 30, 30, 30), place(2, 0, 60, 60, 1))
    assert told(problem, *places[:2], places[2]) == told(problem, *places) == ()
