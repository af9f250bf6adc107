"""Small shops worked off by hand, and that nobody in them knows what is to come."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.dispatch import REDO_MIN, ends_of, run
from shoptrack.engine.dispatch.tables import tabulate
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Worker
from tests.bench.shops import shop

DAY = 1440


def person(
    name: str = "Ada", days: int = 5, spans: tuple[tuple[int, int], ...] = ((0, 240), (270, 510))
) -> Worker:
    """From 0 to 240 and, after a lunch, from 270 to 510 of each day."""
    hours = [(day * DAY + a, day * DAY + b, day) for day in range(days) for a, b in spans]
    return Worker(0, name, tuple((a, b) for a, b, _ in hours), tuple(day for _, _, day in hours))


def works(*tasks: Task, workers: int = 1, resources: tuple[Resource, ...] = ()) -> Problem:
    orders = tuple(Order(f"{n}") for n in range(1 + max((t.order for t in tasks), default=-1)))
    return Problem(tasks, orders, tuple(person(f"{n}") for n in range(workers)), resources, 5 * DAY)


def ends(
    problem: Problem, priority: tuple[int, ...] = (), minutes: tuple[int, ...] = ()
) -> tuple[int | None, ...]:
    return run(problem, priority, minutes or tuple(task.work for task in problem.tasks)).ends


def test_one_person_takes_tasks_in_turn() -> None:
    """60 to minute 60; 300 with the lunch to 60 + 300 + 30 = 390; 200: 120 until 510, 80 the next morning."""
    problem = works(Task(0, 60), Task(0, 300), Task(1, 200))
    assert ends(problem) == (60, 390, DAY + 80)
    assert run(problem, (2, 0, 1), (60, 300, 200)).ends == (290, DAY + 80, 200)
    assert run(problem, (2, 0, 1), (60, 300, 200)).ready == (DAY + 80, 200)


def test_nothing_to_do_and_all_done() -> None:
    """No tasks: nothing; an order without tasks is ready at once, one that can't be done never is."""
    assert run(Problem((), ()), (), ()).ready == ()
    assert run(Problem((), (Order("done"),)), (), ()).ready == (0,)
    alone = Problem((Task(0, 30),), (Order("nobody"),))
    assert run(alone, (), (30,)).ready == (None,)


def test_what_comes_after_waits_for_least_and_overlaps_by_less() -> None:
    """30, then 100 minutes of wait, then 20: 150. With −10: it begins 10 before 30 is over, at 20."""
    after = Task(0, 20, crew=0, after=(After(0, 100),))
    assert ends(works(Task(0, 30, crew=0), after)) == (30, 150)
    assert ends(works(Task(0, 30, crew=0), replace(after, after=(After(0, -10),)))) == (30, 40)


def test_a_rest_runs_through_the_night_and_a_tail_is_of_the_order() -> None:
    """500 is 480 today and 20 tomorrow; then 700 by itself, and an hour until it counts as ready."""
    problem = works(Task(0, 500), Task(0, 700, crew=0, after=(After(0),), tail=60))
    found = run(problem, (), (500, 700))
    assert found.ends == (DAY + 20, DAY + 720)
    assert found.ready == (DAY + 780,)


def test_what_may_not_pause_is_judged_by_the_minutes_expected() -> None:
    """It is 200 at 60: over at 260 after the break at 240, so the 30 go first and it waits for 270.

    Drawn 150 it would have been over at 210, but nobody knows; drawn 260 it goes on until 530, past closing.
    """
    problem = works(Task(0, 60), Task(0, 200, pause="none", after=(After(0),)), Task(0, 30))
    assert ends(problem) == (60, 470, 90)
    assert ends(problem, minutes=(60, 150, 30)) == (60, 420, 90)
    assert ends(problem, minutes=(60, 260, 30)) == (60, 530, 90)
    assert ends(problem, minutes=(60, 270, 200)) == (60, 560, 290), "while it waits the other is begun"


def test_what_may_pause_for_lunch_alone() -> None:
    """300 at 300 would go on tomorrow, so it waits; at 0 it ends at 330. Drawn 500 it goes on to 530."""
    task = Task(0, 300, pause="lunch")
    assert ends(works(task)) == (330,)
    assert ends(works(replace(task, earliest=300))) == (DAY + 330,)
    assert ends(works(task), minutes=(500,)) == (530,)


def test_two_people_together_are_waited_for() -> None:
    """At 100 one comes free, at 160 the other: the panel of two is next. The 90 would take until 190, so it
    waits as well, but the 40 fit between.
    """
    two = Task(1, 60, crew=2)
    problem = works(Task(0, 100), Task(0, 160), two, Task(0, 90), Task(0, 40), workers=2)
    assert ends(problem) == (100, 160, 220, 340, 140)


def test_two_people_meet_only_when_both_are_there() -> None:
    """One works until noon alone: what needs both for 300 has 240 today and 60 tomorrow."""
    half = person("Ben", spans=((0, 240),))
    problem = Problem((Task(0, 300, crew=2),), (Order("a"),), (person(), half), (), 5 * DAY)
    assert run(problem, (), (300,)).ends == (DAY + 60,)


def test_those_who_may_do_least_go_first() -> None:
    """Ben may only saw; he saws, and Ada is free to carve, which he may not."""
    saw, carve = Task(0, 50), Task(1, 70, able=frozenset({0}))
    problem = works(saw, carve, workers=2)
    assert ends(problem) == (50, 70)
    assert ends(works(carve, replace(carve, work=20), workers=2)) == (70, 90)


def test_a_station_is_for_one_and_closed_when_it_is_away() -> None:
    """The second 50 wait for the saw until 50; away from 110 to 300, the third begin at 300."""
    saw = (Resource("saw", 1, ((110, 300),)),)
    task = Task(0, 50, uses=((0, 1),))
    assert ends(works(task, task, task, workers=3, resources=saw)) == (50, 100, 350)


def test_clamps_are_kept_until_somebody_is_there() -> None:
    """Glued at 0 for 20, off 240 later, at 260: lunch, so 270. Then until 290, off at 530: next morning."""
    glue = Task(0, 20, pause="none", keeps=((0, 4),), off=240)
    clamps = (Resource("clamps", 6),)
    assert ends(works(glue, glue, glue, workers=3, resources=clamps)) == (20, 290, DAY + 20)


def test_a_machine_runs_while_somebody_is_there() -> None:
    """Set-up 20, then 300 by itself and 30 of lunch standing still; meanwhile the hands saw."""
    mill = Task(0, 320, hands=20, watched=True, pause="lunch")
    assert ends(works(mill, Task(0, 100))) == (350, 120)
    assert ends(works(replace(mill, pause="any", earliest=400))) == (DAY + 210,)


def test_a_coat_and_dust_keep_apart() -> None:
    """Sanded until 100, coated until 120, wet until 420: the other sanding waits for that."""
    sand, coat = Task(0, 100, room=1, dusty=True), Task(1, 20, room=1, wet=300, pause="none")
    assert ends(works(sand, coat, sand, workers=3), (0, 1, 2)) == (100, 120, 100)
    assert ends(works(sand, coat, replace(sand, earliest=50), workers=3)) == (100, 120, DAY + 10)
    assert ends(works(replace(sand, room=2), coat, sand, workers=3), (1, 0, 2)) == (
        100,
        20,
        420,
    )


def test_a_missed_recoat_is_scuffed_and_the_work_goes_on() -> None:
    """Coated at 500 until 520, again within 300 to 600 of it: at 1440 that is missed; 20 + 20 more."""
    first = Task(0, 20, earliest=480)
    second = Task(0, 20, after=(After(0, 300, 600),))
    assert ends(works(first, second)) == (500, DAY + 20 + REDO_MIN)
    assert ends(works(first, replace(second, after=(After(0, 300, 1000),)))) == (500, DAY + 20)
    assert run(works(first, second), (), (20, 20), redo_min=5).ends == (500, DAY + 25)


def test_what_runs_out_of_time_goes_first() -> None:
    """The second coat is last in the list, and first as soon as it may be."""
    coats = (Task(0, 20), Task(0, 20, after=(After(0, 50, 300),)))
    assert ends(works(*coats, Task(1, 60), Task(1, 30), Task(1, 30)), (0, 2, 3, 4, 1)) == (
        20,
        100,
        80,
        130,
        160,
    )


def test_what_is_in_hand_goes_on() -> None:
    """In hand for 50 more, whatever else is first; the next two wait for those hands. A rest needs none."""
    problem = works(Task(0, 30), Task(0, 50, begun=(0,)), Task(0, 500, crew=0, begun=()), Task(0, 10))
    assert ends(problem) == (80, 50, 500, 90)
    both = works(Task(0, 50, begun=(0,)), Task(0, 70, begun=(0,)), Task(0, 10))
    assert ends(both) == (50, 70, 80), "two things in one pair of hands"


def test_no_order_is_worked_on_before_it_is_known() -> None:
    """The second order comes to be known at 30, when the hands are at the third; it is first after that."""
    problem = works(Task(0, 20), Task(1, 40), Task(2, 60))
    tables = tabulate(problem, (0, 1, 2), REDO_MIN)
    assert ends_of(tables, [20, 40, 60], [0, 30, 0]) == [20, 120, 80]
    assert ends_of(tables, [20, 40, 60], [0, 30, 0], given=1)[0] == 20


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**31), minute=st.integers(0, 9 * DAY))
def test_nobody_knows_what_is_to_come(seed: int, minute: int) -> None:
    """Two futures alike but for minutes worked after some instant are alike up to that instant.

    Whatever had not ended by then in the one takes other minutes in the other, longer ones, so that it hasn't
    there either: all that ended by then ended at the same minute in both. A machine's minutes stay: its
    set-up is in proportion to them, and may be over by then.
    """
    problem = shop(6, seed % 50)
    rng = np.random.default_rng(seed)
    priority = rng.permutation(len(problem.tasks)).tolist()
    drawn = [max(1, round(t.work * float(rng.lognormal(0, 0.4)))) for t in problem.tasks]
    one = run(problem, priority, drawn)
    over = [end is not None and end <= minute for end in one.ends]
    told = [done or task.hands is not None for done, task in zip(over, problem.tasks, strict=True)]
    longer = [w if seen else w + int(rng.integers(1, 500)) for w, seen in zip(drawn, told, strict=True)]
    other = run(problem, priority, longer)
    assert [e for e, done in zip(one.ends, over, strict=True) if done] == [
        e for e, done in zip(other.ends, over, strict=True) if done
    ]
    assert all(e is None or e > minute for e, done in zip(other.ends, over, strict=True) if not done)


@pytest.mark.parametrize("seed", range(6))
def test_everything_ends_and_in_its_order(seed: int) -> None:
    """In invented shops all comes to its end, nothing before what it waits for, the same each time."""
    problem = shop(8, seed)
    work = [task.work for task in problem.tasks]
    found = run(problem, range(len(work)), work)
    assert found == run(problem, range(len(work)), work)
    for n, task in enumerate(problem.tasks):
        end = found.ends[n]
        assert end is not None
        if task.begun is None:
            for after in task.after:
                before = found.ends[after.task]
                assert before is not None
                assert end >= before + after.least + task.work
