"""Geometry of the drawings: nights squeezed, labels inside the sheet, dials that run down."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.web.drawing import (
    LETTERS_END,
    LONGEST_AXIS,
    NIGHT_SCALE,
    cure_line,
    dial,
    dimension,
    hour_ticks,
    label_at,
    make_axis,
)

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
H = timedelta(hours=1)
DAYS = tuple((NOON + timedelta(days=d) - 4 * H, NOON + timedelta(days=d) + 5 * H) for d in range(6))


def test_a_short_axis_is_four_hours_at_one_scale() -> None:
    """Clamps come off within the hour: the axis still shows the afternoon, evenly."""
    axis = make_axis(NOON, NOON + H, DAYS)
    assert axis.nights == ()
    assert axis.end == NOON + 4 * H
    assert [axis.x(NOON + n * H) for n in range(5)] == [0, 25, 50, 75, 100]


def test_a_night_is_a_quarter_as_wide() -> None:
    axis = make_axis(NOON, NOON + 21 * H, DAYS)
    (night,) = axis.nights
    assert (night.start, night.end) == (NOON + 5 * H, NOON + 20 * H)
    by_day = axis.x(NOON + H) - axis.x(NOON)
    by_night = axis.x(NOON + 8 * H) - axis.x(NOON + 7 * H)
    assert by_night == pytest.approx(by_day * NIGHT_SCALE, abs=0.02)


def test_what_is_further_than_two_days_runs_on() -> None:
    axis = make_axis(NOON, NOON + timedelta(days=9), DAYS)
    assert axis.end == NOON + LONGEST_AXIS
    line = cure_line(axis, None, [NOON + timedelta(days=9)])
    assert line.runs_on
    assert line.to_x == 100


def test_no_hours_at_all_is_one_night() -> None:
    axis = make_axis(NOON, NOON + H, ())
    assert [p.night for p in axis.pieces] == [True]
    assert axis.x(NOON + 2 * H) == 50


@given(st.lists(st.integers(0, 8000), min_size=2, max_size=6), st.integers(1, 9000))
def test_later_is_never_further_left(marks: list[int], last: int) -> None:
    axis = make_axis(NOON, NOON + timedelta(minutes=last), DAYS)
    across = [axis.x(NOON + timedelta(minutes=m)) for m in sorted(marks)]
    assert across == sorted(across)
    assert 0 <= across[0] <= across[-1] <= 100
    assert axis.pieces[0].x == 0
    assert axis.pieces[-1].to_x == pytest.approx(100, abs=0.01)


@given(st.integers(0, 1440), st.integers(1, 9000))
def test_hour_ticks_keep_their_distance(start: int, last: int) -> None:
    at = NOON + timedelta(minutes=start)
    axis = make_axis(at, at + timedelta(minutes=last), DAYS)
    midnights = [datetime(2026, 11, 25, tzinfo=UTC) + timedelta(days=d) for d in range(6)]
    ticks = hour_ticks(axis, midnights)
    assert all(b.x - a.x >= 6.5 for a, b in pairwise(ticks) if not (a.day and b.day))
    assert all(t.at.minute == 0 for t in ticks)


def test_words_stay_on_the_sheet() -> None:
    assert not label_at(LETTERS_END - 1).left
    assert label_at(LETTERS_END + 1).left


def test_a_cure_is_hatched_to_clamps_off() -> None:
    axis = make_axis(NOON, NOON + 2 * H, DAYS)
    line = cure_line(axis, NOON + H, [NOON + 2 * H])
    assert (line.clamps_to, line.to_x, line.runs_on) == (25, 50, False)
    assert cure_line(axis, None, [NOON + 2 * H]).clamps_to is None


@pytest.mark.parametrize(
    ("done", "usual", "to_x", "usual_x", "over"),
    [(30, 60, 50, 100, False), (60, 60, 100, 100, False), (90, 60, 100, 66.67, True), (0, 60, 0, 100, False)],
)
def test_a_dimension_is_over_when_it_passes_the_usual(
    done: float, usual: float, to_x: float, usual_x: float, over: bool
) -> None:
    line = dimension(done, usual)
    assert (line.to_x, line.usual_x, line.over) == (to_x, usual_x, over)


def test_a_dimension_without_a_usual_is_a_plain_line() -> None:
    assert dimension(12, None).usual_x is None
    assert dimension(0, 0).to_x == 100


def test_a_dial_shows_what_is_left_of_the_hour() -> None:
    """A quarter ends at three o'clock, a half at six; nothing left is nothing drawn, more than all is all."""
    assert dial(15) == "M0 0V-27A27 27 0 0 1 27.00 -0.00Z"
    assert dial(30) == "M0 0V-27A27 27 0 0 1 0.00 27.00Z"
    assert " 1 1 -27.00 0.00Z" in dial(45)
    assert dial(0) == dial(-5) == ""
    assert dial(60) == dial(90)
