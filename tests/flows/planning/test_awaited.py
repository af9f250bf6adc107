"""What holds jobs up: put aside, waiting for something from outside, in doubt, pinned to a day."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.shapes import Awaited, Person, Pin, World
from shoptrack.flows.planning.awaited import held_days
from tests.engine.shop import ANN, BEN, PVA, Pencil, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, tasks, wall

TUE, WED, THU, FRI = (date(2026, 3, day) for day in (10, 11, 12, 13))
TWO = shop(stage(1), stage(2, "carving", after=(1,)), stage(3, "packing", job=2))


def waiting(*awaited: Awaited, world: World = TWO) -> World:
    return replace(world, awaited=awaited)


def aside(*stages: int, on: date | None, **more: object) -> Pencil:
    book = Pencil()
    book.tap("8:00", "put-aside", ANN, *stages, reason="lumber", look_again_on=on, **more)
    return book


def sentences(world: World, when: str, book: Pencil | None = None) -> list[str]:
    return [told.sentence for told in laid_at(world, when, book).untold]


def test_put_aside_until_a_day_it_begins_when_the_shop_opens() -> None:
    laid = laid_at(TWO, "9:00", aside(1, on=THU))
    assert placed(laid, 1)[0].start == wall(laid, "thu 8:00")
    assert placed(laid, 3)[0].start == 0
    assert laid.untold == ()


@pytest.mark.parametrize("when", ["thu 9:00", "fri 9:00"])
def test_once_its_day_has_come_it_may_begin(when: str) -> None:
    assert tasks(laid_at(TWO, when, aside(1, on=THU)), 1)[0].earliest == 0


def test_put_aside_without_a_day_it_is_not_planned_nor_what_follows() -> None:
    laid = laid_at(TWO, "9:00", aside(1, on=None))
    assert laid.tasks_of.keys() == {3}
    assert [(told.job, told.stage) for told in laid.untold] == [(1, 1)]
    assert laid.untold[0].sentence == "“milling” is put aside and nobody said when to look at it again."
    assert laid.not_whole == {1}
    assert planned(laid).ready[laid.order_of[1]] is None


def test_a_whole_job_put_aside_is_said_once() -> None:
    """Every stage of it is aside; there is one sentence."""
    book = Pencil()
    book.tap("8:00", "put-aside", ANN, job=1, reason="customer")
    laid = laid_at(TWO, "9:00", book)
    assert laid.tasks_of.keys() == {3}
    assert [(t.job, t.stage, t.sentence) for t in laid.untold] == [
        (1, None, "The job is put aside and nobody said when to look at it again.")
    ]


def test_a_stage_waits_for_the_day_that_something_is_expected() -> None:
    """The lumber for the carving comes on Thursday: milled today, carved on Thursday."""
    laid = laid_at(waiting(Awaited(1, 1, "elm boards", before=2, expected_on=THU)), "9:00")
    assert placed(laid, 1)[0].start == 0
    assert placed(laid, 2)[0].start == wall(laid, "thu 8:00")


def test_a_whole_job_waits_for_the_latest_that_is_expected() -> None:
    both = (Awaited(1, 1, "deposit", expected_on=WED), Awaited(2, 1, "drawing", expected_on=THU))
    laid = laid_at(waiting(*both), "9:00")
    assert placed(laid, 1)[0].start == wall(laid, "thu 8:00")
    assert placed(laid, 3)[0].start == 0


def test_what_nobody_knows_when_is_not_planned() -> None:
    laid = laid_at(waiting(Awaited(1, 1, "deposit")), "9:00")
    assert laid.tasks_of.keys() == {3}
    assert sentences(waiting(Awaited(1, 1, "deposit")), "9:00") == [
        "The job waits for “deposit”; nobody knows when it comes."
    ]
    one = waiting(Awaited(1, 1, "approved drawing", before=2))
    assert laid_at(one, "9:00").tasks_of.keys() == {1, 3}
    assert sentences(one, "9:00") == ["“carving” waits for “approved drawing”; nobody knows when it comes."]


def test_what_came_or_is_overdue_or_was_begun_without_it_holds_nothing_up() -> None:
    """The deposit came; the boards should have come yesterday; the milling was begun already."""
    came = (Awaited(1, 1, "deposit", came_on=TUE), Awaited(2, 1, "boards", before=2, expected_on=TUE))
    laid = laid_at(waiting(*came), "wed 9:00")
    assert [tasks(laid, n)[0].earliest for n in (1, 2)] == [0, 0]
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:10", "pause", ANN, 1)
    assert laid_at(waiting(Awaited(1, 1, "deposit")), "9:00", book).tasks_of.keys() == {1, 3}


def test_a_joint_in_doubt_must_be_judged_first() -> None:
    """Glued in a cold room: what follows is not planned until somebody has tested the joint."""
    world = shop(glue_up(1, PVA), stage(2, after=(1,)), stage(3, after=(2,)), stage(4, job=2), c=5.0)
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    closed = book.tap("8:20", "closed", ANN, 1)
    book.tap("8:25", "finish", ANN, 1)
    laid = laid_at(world, "9:00", book)
    assert laid.tasks_of.keys() == {4}
    assert [(t.stage, t.sentence) for t in laid.untold] == [
        (1, "“glue-up” may not hold: test the joint, and what follows it can be planned.")
    ]
    book.tap("9:00", "answer", ANN, of=closed, asks="doubtful-joint", choice="sound")
    assert laid_at(world, "9:10", book).tasks_of.keys() == {2, 3, 4}


def test_what_somebody_has_in_hand_is_planned_whatever_it_waits_for() -> None:
    book = aside(1, on=None)
    book.tap("8:30", "start", BEN, 2, insisted=True)
    assert laid_at(TWO, "9:00", book).tasks_of.keys() == {2, 3}


def test_what_was_done_meanwhile_shields_what_follows_it() -> None:
    """The milling is aside without a day, but somebody finished the carving: packing it can be planned."""
    world = shop(stage(1), stage(2, "carving", after=(1,)), stage(3, "packing", after=(2,)))
    book = aside(1, on=None)
    book.tap("8:40", "finish", BEN, 2)
    assert laid_at(world, "9:00", book).tasks_of.keys() == {3}


def test_a_pinned_stage_begins_on_its_day_by_whom_it_is_pinned_to() -> None:
    """Pack on Thursday, Ben: from opening on, before closing."""
    laid = laid_at(replace(TWO, pins={3: Pin(3, THU, BEN)}), "9:00")
    (task,) = tasks(laid, 3)
    assert (task.earliest, task.latest) == (wall(laid, "thu 8:00"), wall(laid, "thu 17:00") - 1)
    assert task.able == frozenset({laid.worker_of[BEN]})
    plan = planned(laid)
    assert (placed(laid, 3, plan)[0].start, plan.missed) == (wall(laid, "thu 8:00"), ())


def test_a_pin_that_says_nothing_any_more() -> None:
    """Its day is past; its stage was begun; its person left; two are needed and one is named."""
    past = laid_at(replace(TWO, pins={3: Pin(3, TUE, BEN)}), "wed 9:00")
    assert (tasks(past, 3)[0].latest, tasks(past, 3)[0].able) == (None, None)
    book = Pencil()
    book.tap("8:00", "start", ANN, 3)
    book.tap("8:10", "pause", ANN, 3)
    assert tasks(laid_at(replace(TWO, pins={3: Pin(3, FRI)}), "9:00", book), 3)[0].latest is None
    people = {**TWO.people, BEN: Person(BEN, "Ben", retired=True)}
    gone = replace(TWO, people=people, pins={3: Pin(3, THU, BEN)})
    assert tasks(laid_at(gone, "9:00"), 3)[0].able is None
    two = replace(TWO, stages={3: replace(TWO.stages[3], people=2)}, pins={3: Pin(3, THU, BEN)})
    assert tasks(laid_at(two, "9:00"), 3)[0].able is None


def test_by_how_many_days_others_are_late() -> None:
    """Agreed for Tuesday: came on Thursday; expected on Friday; overdue since, so at least today."""
    found = held_days(
        [
            Awaited(1, 1, "deposit", agreed_on=TUE, came_on=THU),
            Awaited(2, 2, "drawing", agreed_on=TUE, expected_on=FRI),
            Awaited(3, 2, "boards", agreed_on=TUE, expected_on=TUE),
            Awaited(4, 3, "hinges", agreed_on=TUE),
            Awaited(5, 4, "deposit", agreed_on=THU, came_on=TUE),
            Awaited(6, 5, "deposit", expected_on=FRI),
        ],
        WED,
    )
    assert found == {1: 2, 2: 3, 3: 1, 4: 0}
