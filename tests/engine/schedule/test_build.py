"""Plans made by priority, worked out by hand."""

from itertools import permutations

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.shapes.planned import After, Order, Plan, Resource, Task, Worth
from tests.engine.schedule.hands import CLOSING, DAY, LUNCH_OVER, at, problem, times, worker

SAW = Resource("saw", 1)
CLAMPS = Resource("clamps", 4)


def test_one_person_does_one_thing_after_another() -> None:
    """Three hours, then two over lunch: done at half past one."""
    plan = build(problem(Task(0, 180), Task(1, 120)), (1, 0))
    assert times(plan) == {1: (0, 120), 0: (120, 330)}
    assert plan.ready == (330, 120)
    assert plan.worth == Worth(0, 0, 450)
    assert plan.priority == (1, 0)


def test_who_waits_comes_after_whatever_is_said() -> None:
    tasks = (Task(0, 60), Task(0, 30, after=(After(0, least=45),)))
    assert times(build(problem(*tasks), (1, 0))) == {0: (0, 60), 1: (105, 135)}
    assert times(build(problem(*tasks), ())) == {0: (0, 60), 1: (105, 135)}


def test_a_glue_up_at_four_cures_overnight() -> None:
    """Spread at four in the afternoon it may be worked twelve hours later: at opening, no hour lost.

    Common practice, no source.
    """
    glue = Task(0, 20, earliest=480, pause="none", keeps=((0, 4),), off=60, tail=0)
    plane = Task(0, 60, after=(After(0, least=720),))
    plan = build(problem(glue, plane, resources=(CLAMPS,)), (0, 1))
    assert times(plan) == {0: (480, 500), 1: (DAY, DAY + 60)}


def test_a_glue_up_that_does_not_fit_before_closing_waits_for_the_morning() -> None:
    plan = build(problem(Task(0, 40, earliest=480, pause="none")), (0,))
    assert times(plan) == {0: (DAY, DAY + 40)}


def test_clamps_hang_on_until_somebody_is_there() -> None:
    """Off mark at two at night: they come off at opening, and only then does the next glue-up find any."""
    glue = [
        Task(n, 30, pause="none", earliest=450, keeps=((0, 4),), off=600, name=f"glue-up {n}") for n in (0, 1)
    ]
    plan = build(problem(*glue, people=2, resources=(CLAMPS,)), (0, 1))
    assert times(plan) == {0: (450, 480), 1: (DAY, DAY + 30)}
    loose = [Task(n, 30, pause="none", earliest=450, keeps=((0, 2),), off=600) for n in (0, 1)]
    assert times(build(problem(*loose, people=2, resources=(CLAMPS,)), (0, 1)))[1] == (450, 480)


def test_a_station_is_held_through_the_night() -> None:
    """Work left on the saw at closing keeps it: another's half hour waits until the morning after."""
    long, short = Task(0, 90, earliest=450, uses=((0, 1),)), Task(1, 20, earliest=460, uses=((0, 1),))
    plan = build(problem(long, short, people=2, resources=(SAW,)), (0, 1))
    assert times(plan) == {0: (450, DAY + 30), 1: (DAY + 30, DAY + 50)}


def test_a_machine_that_is_away() -> None:
    away = Resource("saw", 1, ((0, 2 * DAY),))
    assert times(build(problem(Task(0, 30, uses=((0, 1),)), resources=(away,)), (0,))) == {
        0: (2 * DAY, 2 * DAY + 30)
    }


def test_two_at_once_and_only_those_who_may() -> None:
    """The two who may are free together when the one's drawing is done."""
    drawing = Task(0, 90, able=frozenset({1}))
    panel = Task(1, 30, crew=2, able=frozenset({1, 2}))
    plan = build(problem(drawing, panel, people=3), (0, 1))
    assert at(plan, 1).workers == (1, 2)
    assert times(plan)[1] == (90, 120)


def test_a_watched_machine_frees_hands_and_never_runs_at_night() -> None:
    """Twenty minutes of set-up, then four hours: it stands through lunch and night, others work beside it."""
    carving = Task(0, 260, hands=20, watched=True, uses=((0, 1),))
    plan = build(problem(carving, Task(1, 60), resources=(SAW,)), (0, 1))
    assert at(plan, 0).hands_end == 20
    assert times(plan) == {0: (0, 290), 1: (20, 80)}
    late = build(problem(Task(0, 260, hands=20, watched=True, earliest=400)), (0,))
    assert times(late) == {0: (400, DAY + 150)}
    whole = build(problem(Task(0, 260, hands=20, watched=True, earliest=400, pause="none")), (0,))
    assert whole.left[0].why == "horizon"


def test_no_dust_while_a_coat_is_wet() -> None:
    coat = Task(0, 30, room=1, wet=120, pause="none")
    sanding, elsewhere = Task(1, 60, room=1, dusty=True), Task(2, 60, room=2, dusty=True)
    plan = build(problem(coat, sanding, elsewhere, people=3), (0, 1, 2))
    assert times(plan) == {0: (0, 30), 1: (150, 210), 2: (0, 60)}
    other = build(problem(coat, sanding, people=2), (1, 0))
    assert times(other) == {1: (0, 60), 0: (60, 90)}


def test_a_coat_is_pulled_later_so_that_the_next_is_in_time() -> None:
    """Recoat from four hours on, by six hours after. A first coat after lunch would find nobody that evening,
    so it is laid the next morning, and the second on the same afternoon.
    """
    first = Task(0, 30, pause="none", earliest=275)
    second = Task(0, 30, pause="none", after=(After(0, least=240, greatest=360),))
    plan = build(problem(first, second), (0, 1))
    assert not plan.missed
    assert times(plan) == {0: (DAY, DAY + 30), 1: (DAY + 270, DAY + 300)}


def test_a_window_that_cannot_be_kept_is_said_and_the_rest_is_planned() -> None:
    """Between five and six hours after, at night, nobody ever comes."""
    first = Task(0, 30, "first coat", pause="none", earliest=450, latest=480)
    second = Task(0, 30, "second coat", pause="none", after=(After(0, least=300, greatest=360),))
    plan = build(problem(first, second, Task(1, 30)), (0, 1, 2))
    assert [(m.task, m.after) for m in plan.missed][:1] != []
    assert plan.worth.missed == len(plan.missed)
    assert len(plan.placed) == 3
    assert "too late" in plan.missed[0].sentence


def test_a_pinned_day_that_is_full_is_said() -> None:
    plan = build(problem(Task(0, 300), Task(1, 30, "sanding", latest=100)), (0, 1))
    assert [(m.task, m.after, m.late_min) for m in plan.missed] == [(1, 1, 230)]


def test_what_is_in_hand_stays_and_what_cannot_be_is_left() -> None:
    begun = Task(0, 300, begun=(0,))
    wide = Task(1, 30, "wide", uses=((0, 2),))
    plan = build(problem(begun, Task(0, 30, after=(After(0),)), wide, resources=(SAW,)), (2, 1, 0))
    assert times(plan) == {0: (0, 330), 1: (330, 360)}
    assert [(each.task, each.why) for each in plan.left] == [(2, "resource")]
    assert plan.ready == (360, None)


def test_beyond_the_horizon() -> None:
    plan = build(problem(Task(0, 400), Task(0, 400), Task(0, 5, after=(After(1),)), horizon=DAY), (0, 1))
    assert [(each.task, each.why) for each in plan.left] == [(1, "horizon"), (2, "after")]


def test_an_empty_shop() -> None:
    assert build(problem(), ()) == Plan((), Worth(0, 0, 0), ())
    assert best_rule(problem(Task(0, 60, crew=0), people=0)).ready == (60,)


def test_no_order_of_priority_beats_a_proof_by_hand() -> None:
    """Two machines, jobs (3, 6), (5, 2), (1, 2): Johnson's rule (1954) takes the third, first, second.

    First machine 0-1-4-9, second 1-3, 4-10, 10-12: done at 12, worked out by hand.
    """
    machines = (Resource("a", 1), Resource("b", 1))
    jobs = ((3, 6), (5, 2), (1, 2))
    tasks = []
    for n, (a, b) in enumerate(jobs):
        tasks.append(Task(0, a, crew=0, uses=((0, 1),)))
        tasks.append(Task(0, b, crew=0, uses=((1, 1),), after=(After(2 * n),)))
    shop = problem(*tasks, people=0, resources=machines)
    best = min(build(shop, order).worth.flow for order in permutations(range(6)))
    assert best == 12


def test_the_plan_is_the_same_again() -> None:
    shop = problem(Task(0, 50), Task(1, 70), Task(2, 20), people=2, orders=tuple(Order(n) for n in "abc"))
    assert build(shop, (2, 0, 1)) == build(shop, (2, 0, 1))
    assert times(build(shop, (0, 1, 2))) == {0: (0, 50), 1: (0, 70), 2: (50, 70)}
    assert worker(0).spans[1] == (LUNCH_OVER, CLOSING)


def test_what_is_in_hand_is_planned_though_what_was_before_it_finds_no_place() -> None:
    """A stage was begun too early; what it should have waited for is longer than the time that is planned."""
    big, begun = Task(0, 20_000), Task(0, 60, begun=(0,), after=(After(0),))
    plan = build(problem(big, begun, Task(0, 30, after=(After(1),))), (0, 1, 2))
    assert times(plan) == {1: (0, 60), 2: (60, 90)}
    assert [(each.task, each.why) for each in plan.left] == [(0, "horizon")]


def test_a_machine_that_runs_by_itself_ends_by_the_clock() -> None:
    assert times(build(problem(Task(0, 600, begun=())), (0,))) == {0: (0, 600)}


def test_a_thing_that_is_used_and_kept_is_needed_twice() -> None:
    two = [Task(n, 30, uses=((0, 1),), keeps=((0, 2),), off=60) for n in (0, 1)]
    assert times(build(problem(*two, people=2, resources=(CLAMPS,)), (0, 1)))[1][0] == 90
