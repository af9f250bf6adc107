"""When the tools of a pass were at work, by hand-reckoned days."""

from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Pass
from shoptrack.engine.worked import Stretch, stretches
from tests.engine.shop import ANN, BEN, CALENDAR, CLEO, Pencil, at, shop, stage

MILL = stage(1, tools=(1,))
OTHER = stage(2, "sanding")
ROUTER = stage(3, "carving", attendance="within earshot", station=1, tools=(1,))


def worked(book: Pencil, of: int = 1, now: str = "wed 17:00", redo: int = 0) -> tuple[Stretch, ...]:
    work: Pass = replay(book.entries, shop(MILL, OTHER, ROUTER), at(now)).passes[of][redo]
    return stretches(work, CALENDAR)


def test_a_stint_over_lunch_is_two_stretches() -> None:
    """10:00 to 13:30 with lunch from 12:00 to 12:45: 120 and 45 minutes."""
    book = Pencil()
    book.tap("10:00", "start", ANN, 1)
    book.tap("13:30", "finish", ANN, 1)
    assert worked(book) == (
        Stretch(at("10:00"), at("12:00"), 120),
        Stretch(at("12:45"), at("13:30"), 45),
    )


def test_what_goes_on_has_none_until_it_ends() -> None:
    """Paused at 9:00 and begun again at 9:30: one stretch at 10:00, two from 10:15 on."""
    book = Pencil()
    book.tap("8:30", "start", ANN, 1)
    book.tap("9:00", "pause", ANN, 1)
    book.tap("9:30", "start", ANN, 1)
    assert worked(book, now="10:00") == (Stretch(at("8:30"), at("9:00"), 30),)
    book.tap("10:15", "pause", ANN, 1)
    assert [s.minutes for s in worked(book)] == [30, 45]


def test_two_people_at_it_together_count_once() -> None:
    """Ann 9:00–10:00, Ben 9:30–10:30: ninety minutes at the machine, not two hours."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 1)
    book.tap("9:30", "start", BEN, 1)
    book.tap("10:00", "pause", ANN, 1)
    book.tap("10:30", "finish", BEN, 1)
    assert [(s.start, s.end, s.minutes) for s in worked(book)] == [
        (at("9:00"), at("9:30"), 30),
        (at("9:30"), at("10:00"), 30),
        (at("10:00"), at("10:30"), 30),
    ]


def test_stages_done_together_share_the_time() -> None:
    """An hour at two stages of one measure and rule: half an hour of it belongs to each."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 1, 2)
    book.tap("10:00", "finish", ANN, 1, 2)
    assert worked(book) == (Stretch(at("9:00"), at("10:00"), 30),)


def test_the_runs_of_a_machine_count_and_not_the_hands() -> None:
    """Ann starts the router at 9:00 and leaves it running at 9:10; it stops at 10:00."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 3)
    book.tap("9:10", "pause", ANN, 3, goes_on=True)
    assert worked(book, 3, "9:50") == ()
    book.tap("10:00", "finish", ANN, 3)
    assert worked(book, 3) == (Stretch(at("9:00"), at("10:00"), 60),)


def test_a_run_left_over_night_counts_within_hours_through_lunch() -> None:
    """From 11:00 to the next day's 9:00, closed from 17:00 to 8:00: six hours and one."""
    book = Pencil()
    book.tap("11:00", "start", ANN, 3)
    book.tap("wed 9:00", "finish", ANN, 3)
    assert [(s.start, s.minutes) for s in worked(book, 3)] == [(at("11:00"), 360), (at("wed 8:00"), 60)]


def test_what_was_said_of_a_finish_without_a_start_ends_at_it() -> None:
    """Finished at 11:00; forty minutes, they say."""
    book = Pencil()
    done = book.tap("11:00", "finish", ANN, 1)
    assert worked(book) == ()
    book.tap("11:05", "answer", ANN, of=done, asks="no-start", choice="other", minutes=40.0)
    assert worked(book) == (Stretch(at("10:20"), at("11:00"), 40),)


def test_help_given_elsewhere_is_taken_off() -> None:
    """Ben mills 9:00–10:00 and gave Ann twenty of these minutes on another stage."""
    book = Pencil()
    book.tap("9:00", "start", BEN, 1)
    book.tap("9:00", "start", ANN, 2)
    book.tap("10:00", "help", ANN, 2, helper=BEN, minutes=20.0)
    book.tap("10:00", "pause", BEN, 1)
    (stretch,) = worked(book)
    assert (stretch.start, stretch.end) == (at("9:00"), at("10:00"))
    assert stretch.minutes == pytest.approx(40)


def test_minutes_that_were_said_of_a_timer_left_on_are_spread_over_it() -> None:
    """8:00 to 12:00, and really one hour: a quarter of every minute."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 1, limit_min=90.0)
    book.tap("12:00", "finish", ANN, 1)
    book.tap("12:50", "answer", ANN, of=start, asks="still-on", choice="other", minutes=60.0)
    assert worked(book) == (Stretch(at("8:00"), at("12:00"), pytest.approx(60)),)


def test_struck_and_moved_stints_move_their_stretches() -> None:
    book = Pencil()
    start = book.tap("9:00", "start", ANN, 1)
    end = book.tap("10:00", "pause", ANN, 1)
    book.tap("10:01", "retime", ANN, of=end, to_at=at("9:40"))
    assert [s.minutes for s in worked(book)] == [40]
    book.tap("10:02", "strike", ANN, of=start)
    assert worked(book) == ()


def test_a_pass_that_nobody_touched_has_none() -> None:
    assert worked(Pencil()) == ()


TAPS = st.lists(
    st.tuples(st.sampled_from(("start", "start", "pause", "finish")), st.sampled_from((ANN, BEN, CLEO))),
    max_size=14,
)


@given(TAPS, st.lists(st.integers(1, 200), min_size=14, max_size=14))
def test_they_never_overlap_and_sum_to_the_elapsed_time(taps: list[tuple[str, int]], gaps: list[int]) -> None:
    """Whoever comes and goes at one stage alone: the union of all that has ended, each minute once."""
    book, when = Pencil(), at("8:00")
    for (kind, person), gap in zip(taps, gaps, strict=False):
        when += timedelta(minutes=gap)
        book.tap(when, kind, person, 1)
    for person in (ANN, BEN, CLEO):
        book.tap(when + timedelta(minutes=5), "pause", person, 1)
    state = replay(book.entries, shop(MILL), when + timedelta(minutes=6))
    (work,) = state.passes[1]
    found = stretches(work, CALENDAR)
    assert all(a.end <= b.start for a, b in pairwise(found))
    assert sum(s.minutes for s in found) == pytest.approx(work.elapsed_min if work.stints else 0)
    assert stretches(work, CALENDAR) == found
