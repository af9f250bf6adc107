"""What holds after a line: units, feeds, planes, origins."""

import pytest

from shoptrack.engine.gcode.refusal import Unread
from tests.engine.gcode.programs import WAYS, obeyed, read, refused, said


def test_nothing_is_known_before_the_first_line() -> None:
    state = obeyed()
    assert all(value != value for value in state.place)
    assert (state.scale, state.feed, state.motion, state.spindle_on) == (1.0, 0.0, -1, False)
    assert obeyed(ways=type(WAYS)(1000.0, starts_in="inch")).scale == 25.4


def test_a_unit_holds_for_its_whole_line() -> None:
    """Other than in the standard's order of execution, where F comes first; nobody writes it meaning that."""
    state = obeyed("G1 X1 F10 G20")
    assert (state.place[0], state.feed) == (25.4, 254.0)


def test_a_feed_is_dropped_when_the_unit_changes() -> None:
    program = read("T1 M6\nF100 S9 M3\nG0 X0 Y0 Z0\nG20\nG1 X1\nF4 X2\nM2")
    assert [line.partition(" changes")[0] for line in said(program)] == [
        "4: It",
        "5: It cuts before any feed was set (F): the minutes of such cuts are not counted.",
    ]
    assert program.cutting_min == pytest.approx(0.25)


def test_the_same_unit_again_drops_nothing() -> None:
    assert obeyed("G21 F100", "G21").feed == 100.0


def test_feeds_by_minute_turn_and_inverse_time() -> None:
    assert obeyed("S1000", "G95 F0.2").feed_by == "turn"
    assert obeyed("G20", "G93", "G1 X1 F2").feed == 2.0
    assert obeyed("F100", "G93").feed == 0.0
    assert obeyed("F100", "G94").feed == 100.0
    assert obeyed("F0").feed == 0.0


def test_other_unit_codes_are_a_setting() -> None:
    assert "G70 is not understood" in str(refused("G70"))
    assert read("G70 G0 X1", g70_g71=True).moves.x_mm == (25.4, 25.4)
    assert read("G70 G0 X1\nG71 X1", g70_g71=True).units == ("inch", "mm")


def test_only_units_that_lengths_were_written_in_are_told() -> None:
    assert read("G20\nG21\nG0 X1").units == ("mm",)
    assert read("G20\nM2").units == ()


@pytest.mark.parametrize(("line", "why"), [("S-1", "speed"), ("F-1", "feed")])
def test_below_nought_is_refused(line: str, why: str) -> None:
    with pytest.raises(Unread, match=why):
        obeyed(line)


def test_another_origin_is_a_doubt_once_something_has_moved() -> None:
    assert said(read("G55\nG0 X1\nM2")) == []
    assert said(read("G54\nG0 X1\nG55\nG0 X2\nG55\nM2")) == [
        "3: It goes on from another origin (G54 to G59): reaches are taken as if both were one."
    ]
