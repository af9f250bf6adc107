"""A line's words: spaces, small letters, comments, what contradicts itself, what is refused by name."""

import pytest

from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.words import Block, read_words


def words(line: str, known: dict[int, float] | None = None, slashed: bool = False) -> Block:
    return read_words(line.encode(), {} if known is None else known, slashed)


def test_spaces_may_stand_anywhere_and_small_letters_are_capitals() -> None:
    one, other = words("g0 x +0. 12 34y 7"), words("G0X0.1234Y7")
    assert (one.g, one.values) == (other.g, other.values) == ({"motion": 0}, {"x": 0.1234, "y": 7.0})


def test_words_come_in_any_order() -> None:
    assert words("X1 G1 F9 Y2").values == words("G1 Y2 X1 F9").values


def test_codes_are_kept_by_what_they_govern() -> None:
    block = words("N10 G17 G21 G90 G94 G91.1 G64 P0.05 M3 M7 M8 S9")
    assert block.g == {"plane": 170, "units": 210, "distance": 900, "feed": 940, "centres": 911, "path": 640}
    assert block.m == {"spindle": 3}


def test_comments_are_left_out_and_the_first_is_kept() -> None:
    assert words("(6 mm; down-cut) G1 (and) X1 ; G2 (no end").comment == "6 mm; down-cut"
    assert words("(6 mm) G1 (and) X1 ; G2").values == {"x": 1.0}
    assert words("; 90° bit").comment == "90° bit"
    assert len(words(f"({'long ' * 50})").comment) == 80


def test_a_line_that_is_only_a_number_or_nothing_has_no_words() -> None:
    assert words("").empty
    assert words(" N20 ").empty
    assert words("(said)").empty
    assert not words("M5").empty


def test_a_parameter_is_set_once_the_line_is_read() -> None:
    """The standard's own example: 6 is what the lines after it see."""
    known = {3: 15.0}
    assert words("#3=6 G1 X#3", known).values == {"x": 15.0}
    assert known == {3: 6.0}


def test_a_slash_is_read_over_or_leaves_the_line_out() -> None:
    assert words("/G1 X1").values == {"x": 1.0}
    assert words("/G1 X1", slashed=True).empty
    assert words("/ anything at all", slashed=True).empty


def test_a_quick_line_and_a_slow_one_are_the_same() -> None:
    """Letters and numbers alone are read at once, with brackets one by one."""
    quick, slow = words("N5G2X1.5Y-2I.5J0F300M8"), words("N5G2X[1.5]Y-2I.5J0F300M8")
    assert (quick.g, quick.m, quick.values) == (slow.g, slow.m, slow.values)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("X1 X2", "X stands twice"),
        ("X[1] X[2]", "X stands twice"),
        ("G0 G1", "G1 contradicts another code"),
        ("G17 G18", "G18 contradicts another code"),
        ("M3 M5", "M5 contradicts another code"),
        ("G5", "G5 is not understood"),
        ("G38.2", "G38.2 is not understood"),
        ("G73 X1", "G73 is not understood"),
        ("G1.23", "no number with one decimal"),
        ("G-1", "no number with one decimal"),
        ("M3.5", "no whole number"),
        ("M77", "M77 is not understood"),
        ("G41 D1", "tool's radius"),
        ("G42", "tool's radius"),
        ("G10 L2 P1 X0", "sets offsets of the machine"),
        ("M98 P100", "calls another program"),
        ("M99", "returns from a program"),
        ("O100", "subroutines"),
        ("O<loop> while [1]", "subroutines"),
        ("A90", "three axes"),
        ("X1 N5", "doesn't stand first"),
        ("G1 X", "a number is missing"),
        ("G1 X1..2", "not understood"),
        ("G1 X1e5", "E is not understood"),
        ("G1 (no end", "a comment"),
        ("G1 no) beginning", "a comment"),
        ("G1 (in (another))", "a comment"),
        ("#1 5", "set to is missing"),
        ("\ufeffG1", "not understood"),
        ("\x00", "a sign is not understood"),
        ("G1 X١", "a number is missing"),
        ("N-1 G1", "whole number"),
        ("G1 X99999999999", "too large"),
        ("x" * 2001, "longer than 2,000"),
    ],
)
def test_what_is_refused(line: str, why: str) -> None:
    with pytest.raises(Unread, match=why):
        words(line)


def test_a_bare_number_is_as_large_as_any_may_be() -> None:
    """Nine digits are within a thousand million, which is the most."""
    assert words("G1 X999999999").values["x"] == 999999999
