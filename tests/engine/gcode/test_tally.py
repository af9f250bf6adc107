"""Sums by tool, reaches, halts and doubts: kept small whatever comes."""

from math import nan

import pytest

from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.tally import Span, Tally
from shoptrack.engine.shapes.programs import Box, Doubt, Halt


def test_unknown_places_widen_nothing() -> None:
    span = Span()
    assert span.empty
    span.take((nan, nan, nan))
    assert span.empty
    span.take((1.0, nan, -2.0))
    span.take((nan, nan, 3.0))
    assert span.box() == Box((1, 1), None, (-2, 3))


def test_each_tool_has_its_own_sums() -> None:
    tally = Tally()
    tally.tool = 1
    tally.cut([(0, 0, 0), (10, 0, -1)], (), 10.0, 0.5, 20.0)
    tally.tool = 2
    tally.cut([(0, 0, -3), (0, 5, 0)], (), 5.0, 0.1, 50.0)
    tally.cut([(0, 0, 0), (0, 5, 0)], (), 5.0, 0.2, 25.0)
    one, two = tally.uses()
    assert (one.cutting_min, one.cutting_mm, one.deepest_mm) == (0.5, 10, 1)
    assert (two.least_feed_mm_min, two.most_feed_mm_min, two.deepest_mm) == (25, 50, 3)
    assert tally.minutes() == pytest.approx(0.8)


def test_cuts_and_moves_reach_by_themselves() -> None:
    tally = Tally()
    tally.rapid((0, 0, 9), (50, 0, 9), 50, 0.05)
    tally.cut([(50, 0, 9), (60, 5, 0)], [(55, 8, 4)], 15, 0.1, 0.0)
    assert tally.cuts.box() == Box((50, 60), (0, 8), (0, 9))
    assert tally.moves.box() == Box((0, 60), (0, 8), (0, 9))
    assert tally.uses()[0].least_feed_mm_min is None


def test_a_shift_is_added_to_reaches_not_to_depths() -> None:
    tally = Tally()
    tally.shift = (100.0, 0.0, 20.0)
    tally.cut([(0, 0, 0), (1, 0, -2)], (), 2, 1, 1)
    assert tally.cuts.box() == Box((100, 101), (0, 0), (18, 20))
    assert tally.uses()[0].least_z_mm == -2


def test_of_a_doubt_the_first_line_is_kept_and_the_rest_counted() -> None:
    tally = Tally()
    tally.doubt("no end", 9)
    tally.doubt("spindle off", 4, 3)
    tally.doubt("spindle off", 7)
    assert tally.doubts() == (
        Doubt(4, 4, "It cuts while the spindle is off."),
        Doubt(9, 1, "It ends without M2 or M30."),
    )


def test_no_more_tools_and_halts_than_a_shop_has() -> None:
    tally = Tally()
    for tally.tool in range(500):
        tally.sums()
    for line in range(10_000):
        tally.halt(Halt("stop", line, 0.0, 1, hands=True))
    tally.tool = 500
    with pytest.raises(Unread, match="more than 500 tools"):
        tally.sums()
    with pytest.raises(Unread, match=r"more than 10,000 times"):
        tally.halt(Halt("stop", 1, 0.0, 1, hands=True))
