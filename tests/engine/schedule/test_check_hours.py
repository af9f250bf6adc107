"""Each rule of a task's people, minutes and pauses, kept and then broken by one number."""

from dataclasses import replace

import pytest

from shoptrack.engine.schedule.check_hours import Piece, anybody_at_work, hours_broken
from shoptrack.engine.shapes.planned import Placed, Task, Worker
from tests.engine.schedule.two_days import ADA, BO, place, shop, told

SAND = Task(0, 100, "sand")
PANEL = Task(0, 60, "panel", crew=2)
ROUT = Task(0, 100, "rout", hands=40, watched=True)
GLUE = Task(0, 100, "glue", hands=40)
DRY = Task(0, 1000, "dry", crew=0)
RUN = Task(0, 100, "run", crew=0, watched=True)


@pytest.mark.parametrize(
    ("task", "placed"),
    [
        (SAND, place(0, 0, 100, 100, 1)),
        (SAND, place(0, 200, 360, 360, 0)),  # over lunch
        (SAND, place(0, 500, 1500, 1500, 0)),  # over night
        (replace(SAND, pause="none"), place(0, 140, 240, 240, 0)),
        (replace(SAND, pause="lunch"), place(0, 200, 360, 360, 0)),
        (replace(SAND, able=frozenset({1})), place(0, 0, 100, 100, 1)),
        (PANEL, place(0, 10, 70, 70, 1, 0)),
        (ROUT, place(0, 200, 240, 360, 0)),  # hands until lunch, then the machine waits
        (ROUT, place(0, 141, 181, 301, 0)),  # with its last minute after lunch
        (replace(ROUT, pause="lunch"), place(0, 1640, 1680, 1800, 0)),  # on the second day
        (GLUE, place(0, 200, 240, 300, 0)),  # the glue does not
        (replace(GLUE, pause="none"), place(0, 500, 540, 600, 0)),
        (DRY, place(0, 250, 250, 1250)),
        (RUN, place(0, 500, 500, 1500)),
        (replace(SAND, earliest=50), place(0, 50, 150, 150, 1)),
        (Task(0, 0, "deposit", crew=0), place(0, 260, 260, 260)),
        (replace(GLUE, hands=0), place(0, 250, 250, 350)),  # needs nobody, then
    ],
)
def test_what_is_kept(task: Task, placed: Placed) -> None:
    assert told(shop(task), placed) == ()


@pytest.mark.parametrize(
    ("task", "placed", "sentence"),
    [
        (SAND, place(0, 0, 90, 90, 1), "has its people for 90 minutes of work, where 100 are needed"),
        (SAND, place(0, 200, 300, 300, 1), "has its people for 40 minutes of work, where 100 are needed"),
        (
            SAND,
            place(0, 140, 300, 300, 1),
            "holds its people until 300, though their work is over at 240",
        ),
        (SAND, place(0, 250, 400, 400, 1), "begins at 250, when not all of its people are at work"),
        (SAND, place(0, 240, 400, 400, 1), "begins at 240, when not all of its people are at work"),
        (SAND, place(0, 0, 100, 110, 1), "ends at 110, where its work is over at 100"),
        (SAND, place(0, 0, 100, 100), "is given to 0 at once, where it takes 1"),
        (SAND, place(0, 0, 100, 100, 0, 1), "is given to 2 at once, where it takes 1"),
        (PANEL, place(0, 0, 60, 60, 1, 1), "has the same worker twice"),
        (replace(SAND, able=frozenset({1})), place(0, 0, 100, 100, 0), "is given to Ada, who may not do it"),
        (
            replace(SAND, pause="none"),
            place(0, 200, 360, 360, 1),
            "pauses from 240 to 300 and may not be broken",
        ),
        (
            replace(SAND, pause="lunch"),
            place(0, 500, 1500, 1500, 1),
            "pauses from 540 to 1440 and may be broken by lunch alone",
        ),
        (
            ROUT,
            place(0, 0, 40, 90, 0),
            "has somebody at work for 50 of its watched minutes, where 60 are needed",
        ),
        (ROUT, place(0, 140, 180, 300, 0), "ends at 300, where its work is over at 240"),
        (
            replace(ROUT, pause="none"),
            place(0, 150, 190, 310, 0),
            "pauses from 240 to 300 and may not be broken",
        ),
        (
            replace(ROUT, pause="none"),
            place(0, 200, 240, 360, 0),
            "pauses from 240 to 300 and may not be broken",
        ),
        (
            replace(ROUT, pause="lunch"),
            place(0, 460, 500, 1460, 0),
            "pauses from 540 to 1440 and may be broken by lunch alone",
        ),
        (
            replace(ROUT, pause="lunch"),
            place(0, 500, 540, 1500, 0),
            "pauses from 540 to 1440 and may be broken by lunch alone",
        ),
        (RUN, place(0, 250, 250, 400), "begins at 250, when nobody is at work"),
        (RUN, place(0, 240, 240, 400), "begins at 240, when nobody is at work"),
        (GLUE, place(0, 200, 240, 360, 0), "ends at 360, where its work is over at 300"),
        (DRY, place(0, 0, 10, 1010), "holds people until 10 and needs none"),
        (DRY, place(0, 0, 0, 1000, 1), "is given to 1 at once, where it takes 0"),
        (replace(SAND, earliest=50), place(0, 40, 140, 140, 1), "begins at 40, before its earliest, 50"),
        (DRY, place(0, -10, -10, 990), "begins at -10, before its earliest, 0"),
        (replace(SAND, begun=(0,)), place(0, 5, 105, 105, 0), "is in hand now and begins at 5"),
        (replace(SAND, begun=(0,)), place(0, 0, 100, 100, 1), "is in hand now and is given to others"),
        (
            replace(SAND, begun=(0, 1)),
            place(0, 0, 90, 90, 0, 1),
            "has its people for 90 minutes of work, where 100 are needed",
        ),
    ],
)
def test_what_is_broken(task: Task, placed: Placed, sentence: str) -> None:
    assert told(shop(task), placed) == (f"“{task.name}” {sentence}.",)


def test_what_is_begun_chose_neither_its_start_nor_its_pauses() -> None:
    """In hand at lunch, by one who may not, not to be broken: it goes on when she is back, over the night."""
    late = tuple((a + 60, b + 60) for a, b in ADA.spans)
    task = replace(SAND, work=500, begun=(0,), pause="none", able=frozenset(), earliest=9, crew=2)
    found = told(shop(task, workers=(replace(ADA, spans=late), BO)), place(0, 0, 1520, 1520, 0))
    assert found == ()


def test_what_is_begun_and_in_no_hands_runs_by_itself() -> None:
    task = replace(GLUE, begun=())
    assert told(shop(task), place(0, 0, 0, 100)) == ()
    machine = replace(task, work=300, watched=True, pause="none")
    assert told(shop(machine), place(0, 0, 0, 360)) == ()


def test_a_crew_works_when_both_are_there() -> None:
    """Ada until 240, Bo from 200 and after a later lunch: forty minutes, then twenty from 360."""
    late = Worker(9, "Bo", ((200, 350), (360, 600)), (0, 0))
    problem = shop(replace(PANEL, pause="lunch"), workers=(ADA, late))
    assert told(problem, place(0, 200, 320, 320, 0, 1)) == ()
    problem = shop(replace(PANEL, pause="none"), workers=(ADA, late))
    assert told(problem, place(0, 200, 320, 320, 0, 1)) == (
        "“panel” pauses from 240 to 300 and may not be broken.",
    )


def test_a_crew_pauses_for_lunch_where_it_is_lunch_for_all_of_them() -> None:
    """Ada's lunch is Bo's rest between two of his days."""
    problem = shop(replace(PANEL, pause="lunch"), workers=(ADA, replace(BO, days=(0, 1, 2, 3))))
    assert told(problem, place(0, 200, 320, 320, 0, 1)) == (
        "“panel” pauses from 240 to 300 and may be broken by lunch alone.",
    )


def test_somebody_is_at_work_while_any_of_them_is() -> None:
    """Bo stays over Ada's lunch: what must be watched runs on."""
    stays = Worker(9, "Bo", ((100, 290), (295, 330)), (0, 0))
    problem = shop(replace(ROUT, pause="none"), workers=(ADA, stays))
    assert told(problem, place(0, 150, 190, 250, 0)) == ()
    pieces = anybody_at_work((ADA, stays))
    assert [(p.start, p.end) for p in pieces] == [(0, 290), (295, 540), (1440, 1680), (1740, 1980)]
    assert [sorted(p.last_days) for p in pieces] == [[0], [0], [1], [1]]


def test_shifts_that_meet_or_overlap_are_one_stretch() -> None:
    """The second comes as the first goes, the third stays into the next day."""
    early, late = Worker(1, "first", ((0, 240),), (0,)), Worker(2, "second", ((240, 300),), (0,))
    night = Worker(3, "third", ((290, 400), (500, 600)), (1, 1))
    one, other = anybody_at_work((early, late, night))
    assert one == Piece(0, 400, frozenset({0}), frozenset({1}))
    assert other == Piece(500, 600, frozenset({1}), frozenset({1}))
    problem = shop(replace(ROUT, pause="none"), workers=(early, late, night))
    assert told(problem, place(0, 190, 230, 290, 0)) == ()
    lunch = shop(replace(ROUT, pause="lunch"), workers=(early, late, night))
    assert told(lunch, place(0, 350, 390, 550, 2)) == ()


def test_a_task_without_a_name_is_called_by_its_place() -> None:
    problem = shop(replace(SAND, name=""))
    (sentence,) = hours_broken(problem, anybody_at_work(problem.workers), place(0, 0, 90, 90, 1))
    assert sentence.startswith("Task 0 has its people for 90")
