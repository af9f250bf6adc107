"""Lunch, closing, limits: which minutes count, and what is asked."""

from dataclasses import replace
from datetime import date, time

import pytest

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Overtime, Pass, Question, Replayed
from tests.engine.shop import ANN, BEN, Pencil, at, shop, stage

WORLD = shop(stage(1), stage(2, "carving"))  # the rule of thumb gives 60 min for either


def see(book: Pencil, when: str) -> Replayed:
    return replay(book.entries, WORLD, at(when))


def milling(book: Pencil, when: str) -> Pass:
    return see(book, when).passes[1][0]


def asked(replayed: Replayed, asks: str) -> Question | None:
    return next((q for q in replayed.questions if q.asks == asks), None)


def test_lunch_does_not_count_and_the_stage_teaches() -> None:
    """11:30–13:00 with lunch 12:00–12:45 in it: 45 min; the next tap was the finish, so it teaches."""
    book = Pencil()
    book.tap("11:30", "start", ANN, 1)
    book.tap("13:00", "finish", ANN, 1)
    done = milling(book, "13:10")
    assert (done.attended_min, done.teaches) == (45, True)


def test_worked_through_lunch_is_one_tap() -> None:
    """The same, worked through: 90 min. It is offered softly, not asked on the Floor."""
    book = Pencil()
    start = book.tap("11:30", "start", ANN, 1)
    book.tap("13:00", "finish", ANN, 1)
    offered = asked(see(book, "13:10"), "lunch")
    assert offered is not None
    assert (offered.of, offered.soft) == (start, True)
    book.tap("13:12", "answer", ANN, of=start, asks="lunch", choice="worked-through")
    replayed = see(book, "13:15")
    assert replayed.passes[1][0].attended_min == 90
    assert asked(replayed, "lunch") is None


def test_overtime_counts_and_nothing_is_asked_about_closing() -> None:
    """From 16:00 to 18:30, overtime from 17:00 to 19:00: all 150 min; Ben's overtime is not Ann's."""
    book = Pencil()
    book.tap("16:00", "start", ANN, 1)
    book.tap("18:30", "finish", ANN, 1)
    for whose, minutes in ((None, 150), (ANN, 150), (BEN, 60)):
        extra = Overtime(whose, at("12:00").date(), time(17), time(19))
        world = replace(WORLD, calendar=replace(WORLD.calendar, overtime=(extra,)))
        replayed = replay(book.entries, world, at("18:40"))
        assert replayed.passes[1][0].attended_min == minutes
        assert (asked(replayed, "closing") is None) == (minutes == 150)


def test_worked_until_counts_after_closing() -> None:
    """Started 16:00, finished 18:30, closing is 17:00: 60 min; worked until 18:00: 120."""
    book = Pencil()
    start = book.tap("16:00", "start", ANN, 1)
    book.tap("18:30", "finish", ANN, 1)
    offered = asked(see(book, "18:35"), "closing")
    assert milling(book, "18:35").attended_min == 60
    assert offered is not None
    assert [o.to_at for o in offered.offers] == [at("17:30"), at("18:00"), at("18:30")]
    book.tap("18:36", "answer", ANN, of=start, asks="closing", choice="worked-until", to_at=at("18:00"))
    assert milling(book, "18:40").attended_min == 120


def test_left_over_the_night_without_a_tap_teaches_nothing() -> None:
    """Milling at 16:30, next morning carving: 30 min until closing, and nobody knows when she stopped."""
    book = Pencil()
    book.tap("16:30", "start", ANN, 1)
    book.tap("wed 8:00", "start", ANN, 2)
    book.tap("wed 9:00", "start", ANN, 1)
    book.tap("wed 9:10", "finish", ANN, 1)
    done = milling(book, "wed 9:30")
    assert (done.attended_min, done.teaches) == (40, False)
    assert done.why_not == "left over a break without a tap"


def test_a_stage_over_the_night_that_is_then_finished_teaches() -> None:
    """16:30 to 8:15 next morning, finished by its own person: 30 + 15 min, one stage going on."""
    book = Pencil()
    book.tap("16:30", "start", ANN, 1)
    book.tap("wed 8:15", "finish", ANN, 1)
    done = milling(book, "wed 8:30")
    assert (done.attended_min, done.teaches) == (45, True)


@pytest.mark.parametrize(
    ("choice", "more", "minutes", "teaches"),
    [
        ("other", {"minutes": 75.0}, 75, True),
        ("usual", {"minutes": 60.0}, 60, False),
        ("until", {"to_at": at("9:30")}, 90, True),
    ],
)
def test_answers_to_a_timer_left_running(
    choice: str, more: dict[str, object], minutes: float, teaches: bool
) -> None:
    """Left running 8:00–11:30: what the person says counts instead."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 1, limit_min=120.0)
    book.tap("11:30", "finish", ANN, 1)
    book.tap("11:31", "answer", ANN, of=start, asks="still-on", choice=choice, **more)
    done = milling(book, "11:40")
    assert (done.attended_min, done.teaches) == (pytest.approx(minutes), teaches)


def test_started_after_closing_counts_from_the_tap() -> None:
    """18:00–19:30, long after closing, start and pause both tapped: 90 min."""
    book = Pencil()
    book.tap("18:00", "start", ANN, 1)
    book.tap("19:30", "pause", ANN, 1)
    assert milling(book, "19:40").attended_min == 90


def test_together_is_split_by_rule_of_thumb_and_teaches_as_one() -> None:
    """60 and 60 by rule, 40 min at both: 20 each, and both passes name the set they were done in."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1, 2)
    book.tap("8:40", "finish", ANN, 1, 2)
    replayed = see(book, "9:00")
    assert [replayed.passes[s][0].attended_min for s in (1, 2)] == [20, 20]
    assert [replayed.passes[s][0].together for s in (1, 2)] == [(1, 2), (1, 2)]


def test_a_weekend_in_which_the_clocks_change_counts_hours_of_work_only() -> None:
    """Friday 6 March 2026 16:30 to Monday 9:00: 30 min and 60 min. The clocks went forward on the Sunday
    between (zone database, America/Chicago), so the same wall times are 63.5 h apart, not 64.5 h."""
    book = Pencil()
    friday = at("16:30", date(2026, 3, 6))
    book.tap(friday, "start", BEN, 1)
    book.tap("mon 9:00", "finish", BEN, 1)
    assert (at("mon 9:00") - friday).total_seconds() / 3600 == 63.5
    assert milling(book, "mon 9:10").attended_min == 90
