"""What somebody could start now, what waiting with it costs, what blocks the rest: small shops by hand."""

from dataclasses import replace

import pytest

from shoptrack.engine import nextup
from shoptrack.engine.nextup import Block, Slip, blocked, choices, free_from, given_to, next_day, waiting
from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import After, Order, Plan, Problem, Resource, Task, Worker

DAY = 24 * 60
DAYS = tuple(range(6))
HOURS = tuple((day * DAY, day * DAY + 480) for day in DAYS)
UNA, PIET = 0, 1


def shop(tasks: tuple[Task, ...], orders: int = 1, people: int = 1, **more: object) -> Problem:
    """Eight hours from minute 0 of each of six days; jobs without a date unless said."""
    named = ("Una", "Piet", "Ada")[:people]
    return Problem(
        tasks=tasks,
        orders=tuple(Order(f"job {n}") for n in range(orders)),
        workers=tuple(Worker(n + 1, name, HOURS, DAYS) for n, name in enumerate(named)),
        **{"horizon": 6 * DAY, **more},  # type: ignore[arg-type]
    )


def with_due(problem: Problem, *dues: int | None) -> Problem:
    dated = tuple(replace(o, due=due) for o, due in zip(problem.orders, dues, strict=True))
    return replace(problem, orders=dated)


GLUE = (
    Task(0, 60, "glue-up", stage=1, pause="none"),
    Task(0, 120, "flattening", stage=2, after=(After(0, 1000),)),
)
"""An hour in the clamps' company, 1000 minutes of cure, two hours of flattening."""


def test_glue_that_cures_overnight_costs_a_day_tomorrow_morning() -> None:
    """Begun now it is flat at 1560; tomorrow its cure ends after closing, so it is flat a day later."""
    problem = with_due(shop(GLUE), 1600)
    plan = build(problem, (0, 1))
    assert plan.ready == (DAY + 120,)
    (choice,) = choices(problem, plan, UNA)
    assert (choice.task, choice.start, choice.planned, choice.instead) == (0, 0, True, ())
    assert choice.waiting.until == DAY
    assert choice.waiting.slips == (Slip(0, DAY, 2 * DAY + 120 - 1600),)
    assert nextup.overnight(problem, plan.placed[0])
    assert nextup.cure_min(problem, 0) == 1000
    assert not nextup.overnight(problem, plan.placed[1])


def test_a_cure_that_is_over_before_closing_is_not_overnight() -> None:
    """60 + 200 minutes end within the day; 60 + 440 do not."""
    for least, over in ((200, False), (440, True)):
        problem = shop((GLUE[0], replace(GLUE[1], after=(After(0, least),))))
        plan = build(problem, (0, 1))
        assert nextup.overnight(problem, plan.placed[0]) is over


def test_a_job_that_waits_loses_its_own_day_alone() -> None:
    """One short job with all week for it; and one that the plan has tomorrow, put off to the day after."""
    problem = with_due(shop((Task(0, 30, "sweep the rack"),)), 4 * DAY)
    plan = build(problem, (0,))
    assert waiting(problem, plan, 0, UNA).slips == (Slip(0, DAY, 0),)
    busy = shop((Task(0, 480, "milling"), Task(1, 480, "sanding")), orders=2)
    plan = build(busy, (0, 1))
    assert waiting(busy, plan, 1, UNA).slips == (Slip(1, DAY, 0),)


def test_waiting_that_makes_the_whole_no_worse_says_nothing() -> None:
    """Una's only other work fills the day either way; swapped, both jobs are ready in the same minutes."""
    tasks = (Task(0, 480, "a"), Task(1, 480, "b"))
    problem = shop(tasks, orders=2)
    plan = build(problem, (0, 1))
    found = waiting(problem, plan, 0, UNA)
    assert found.slips == ()
    assert found.until == DAY


def test_the_dearest_slip_comes_first() -> None:
    """Both jobs need the milling; the one past its date weighs more than the longer delay of the other."""
    tasks = (
        Task(0, 240, "milling", stage=1),
        Task(0, 30, "packing", stage=2, after=(After(0),)),
        Task(1, 30, "fitting", stage=3, after=(After(0, 1000),)),
    )
    problem = with_due(shop(tasks, orders=2, people=2), 300, None)
    plan = build(problem, (0, 1, 2))
    found = waiting(problem, plan, 0, UNA)
    assert [slip.order for slip in found.slips] == [0, 1]
    assert found.slips[0].late_min == DAY + 270 - 300
    assert found.slips[1].late_min == 0


def test_the_plans_choice_leads_and_another_says_what_it_costs_instead() -> None:
    """The glue-up must come first; the sanding may be taken instead, and then the day is lost."""
    tasks = (*GLUE, Task(1, 450, "sanding", stage=3))
    problem = with_due(shop(tasks, orders=2), 1600, None)
    plan = build(problem, (0, 2, 1))
    first, second = choices(problem, plan, UNA)
    assert (first.task, first.planned) == (0, True)
    assert (second.task, second.planned) == (2, False)
    assert second.instead[0].order == 0
    assert second.instead[0].late_min > 0


def test_what_cannot_begin_is_no_choice() -> None:
    """The router is taken by what runs, the flattening waits, somebody else alone may carve."""
    tasks = (
        Task(0, 200, "routing", begun=(), crew=0, watched=True, uses=((0, 1),)),
        Task(1, 60, "routing too", stage=2, uses=((0, 1),)),
        Task(1, 60, "carving", stage=3, able=frozenset({PIET})),
        Task(1, 60, "sanding", stage=4, after=(After(1),)),
    )
    problem = shop(tasks, orders=2, people=2, resources=(Resource("router", 1),))
    plan = build(problem, (0, 1, 2, 3))
    assert choices(problem, plan, UNA) == ()
    (carving,) = choices(problem, plan, PIET)
    assert carving.task == 2
    assert blocked(problem, plan, 1) == Block("resource", 200, 0)
    assert blocked(problem, plan, 3) == Block("after", 260, 1)
    assert blocked(problem, plan, 2) is None
    assert blocked(problem, plan, 0) is None


def test_what_is_closed_blocks_until_it_opens_unless_something_else_ends_later() -> None:
    """The knives are away until the third day at 9: that holds planing up, but not what its own day or the
    stage before it hold up longer.
    """
    away = Resource("knives", 5, ((0, 2 * DAY + 60),))
    tasks = (
        Task(0, 60, "planing", uses=((0, 1),)),
        Task(0, 60, "planing on its day", stage=2, uses=((0, 1),), earliest=3 * DAY),
        Task(0, 60, "planing early", stage=3, uses=((0, 1),), earliest=DAY),
        Task(0, 60, "planing again", stage=4, uses=((0, 1),), after=(After(1),)),
    )
    problem = shop(tasks, resources=(away,))
    plan = build(problem, (0, 1, 2, 3))
    assert blocked(problem, plan, 0) == Block("resource", 2 * DAY + 60, 0)
    assert blocked(problem, plan, 1) == Block("day", 3 * DAY)
    assert blocked(problem, plan, 2) == Block("resource", 2 * DAY + 60, 0)
    assert blocked(problem, plan, 3) == Block("after", 3 * DAY + 60, 1)


def test_blocks_by_cure_by_day_by_people() -> None:
    """Una carves until 470 and flattens from 1440; her oiling finds no room before 1560."""
    tasks = (
        *GLUE,
        Task(1, 60, "fitting", stage=3, earliest=2 * DAY),
        Task(2, 470, "carving", stage=4, begun=(UNA,)),
        Task(2, 100, "oiling", stage=5, able=frozenset({UNA})),
    )
    problem = shop(tasks, orders=3, people=2)
    plan = build(problem, (0, 1, 2, 3, 4))
    assert blocked(problem, plan, 1) == Block("cure", 1060, 0)
    assert blocked(problem, plan, 2) == Block("day", 2 * DAY)
    assert blocked(problem, plan, 4) == Block("person", DAY + 120, UNA)


def test_a_coat_that_would_come_too_late_is_said() -> None:
    """The second coat must follow the first, which is on, by minute 400; tomorrow is too late for it."""
    problem = shop((Task(0, 60, "second coat", latest=400),))
    plan = build(problem, (0,))
    assert plan.worth.missed == 0
    assert waiting(problem, plan, 0, UNA).missed == 1


def test_somebody_with_work_in_hand_chooses_for_when_it_is_done() -> None:
    tasks = (Task(0, 100, "milling", begun=(UNA,)), Task(1, 60, "sanding", stage=2))
    problem = shop(tasks, orders=2)
    plan = build(problem, (0, 1))
    assert free_from(problem, plan, UNA) == 100
    assert [p.task for p in given_to(problem, plan, UNA)] == [1]
    (choice,) = choices(problem, plan, UNA)
    assert (choice.task, choice.start) == (1, 100)


def test_somebody_who_comes_no_more_has_no_choice() -> None:
    problem = shop((Task(0, 60),), people=2)
    gone = replace(problem, workers=(problem.workers[0], Worker(2, "Piet", (), ())))
    plan = build(gone, (0,))
    assert free_from(gone, plan, PIET) is None
    assert choices(gone, plan, PIET) == ()


def test_the_next_day_skips_lunch_and_ends() -> None:
    """Two stretches a day: the afternoon is no next day."""
    spans, days = ((0, 240), (300, 480), (DAY, DAY + 240)), (0, 0, 1)
    problem = replace(shop((Task(0, 60),)), workers=(Worker(1, "Una", spans, days),))
    assert next_day(problem, UNA, 0) == DAY
    assert next_day(problem, UNA, 310) == DAY
    assert next_day(problem, UNA, DAY + 1) is None
    last = build(problem, (0,), {0: DAY})
    assert waiting(problem, last, 0, UNA).slips == ()


@pytest.mark.parametrize(("most", "decodes"), [(1, 1), (3, 5)])
def test_a_choice_takes_two_decodes_at_most(monkeypatch: pytest.MonkeyPatch, most: int, decodes: int) -> None:
    """The plan's own takes one: it stands already; each other is tried first of all, and then not today."""
    counted: list[object] = []

    def counting(problem: Problem, *more: object) -> Plan:
        counted.append(more)
        return build(problem, *more)  # type: ignore[arg-type]

    problem = shop(tuple(Task(n, 60, stage=n) for n in range(8)), orders=8)
    plan = build(problem, range(8))
    monkeypatch.setattr(nextup, "build", counting)
    assert len(choices(problem, plan, UNA, most)) == most
    assert len(counted) == decodes
