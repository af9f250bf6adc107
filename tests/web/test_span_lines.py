import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.shapes.quoted import Range
from shoptrack.web.span_lines import MOST_TICKS, scale_for, span_line


def around(middle: float) -> Range:
    return Range(middle / 2, middle, middle * 1.5, middle * 2)


def test_a_scale_of_plain_steps() -> None:
    """To four hours: nought and every hour, a quarter of the width apart."""
    scale = scale_for([around(60), around(120)])
    assert scale.longest_min == 240
    assert scale.ticks == ((0, "0 min"), (25, "1 h"), (50, "2 h"), (75, "3 h"), (100, "4 h"))
    line = span_line(scale, around(60), 90)
    assert (line.from_x, line.middle_x, line.to_x, line.rule_x) == (12.5, 25, 50, 37.5)
    assert (line.words, line.at_end, line.runs_on) == ("1 h", False, False)


def test_without_a_range_it_is_an_hour() -> None:
    assert scale_for([]).longest_min == 60


def test_one_kind_of_days_does_not_squeeze_the_rest() -> None:
    """Three of two hours and one of a week: the week runs off the sheet, and its rule of thumb with it."""
    week = around(5 * 24 * 60)
    scale = scale_for([*[around(60)] * 3, week])
    assert scale.longest_min == 600
    assert span_line(scale, week).runs_on
    assert span_line(scale, week, 3000).rule_x is None
    assert not span_line(scale, around(60)).runs_on


@given(st.lists(st.floats(0.01, 1e6), min_size=1, max_size=12))
def test_every_line_is_on_the_sheet(middles: list[float]) -> None:
    """Whatever was learned: few ticks from edge to edge, no line begins after it ends or leaves the sheet."""
    scale = scale_for([around(m) for m in middles])
    assert 2 <= len(scale.ticks) <= MOST_TICKS + 2
    assert (scale.ticks[0][0], scale.ticks[-1][0]) == (0, 100)
    for middle in middles:
        line = span_line(scale, around(middle), middle)
        assert 0 <= line.from_x <= line.middle_x <= line.to_x <= 100


def test_words_near_the_edge_are_written_to_the_left() -> None:
    scale = scale_for([around(100)])
    assert span_line(scale, Range(150, 190, 195, 199)).at_end
    assert scale.x(1e9) == pytest.approx(100)
