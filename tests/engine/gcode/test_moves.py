"""Moves: lengths and minutes, unknown places, arcs on three planes, doubts."""

from math import hypot, pi

import pytest

from tests.engine.gcode.programs import read, refused, said

READY = "T1 M6\nS1000 M3 F100\nG0 X0 Y0 Z0\n"


def cut(text: str, **ways: object) -> tuple[float, float]:
    program = read(READY + text + "\nM2", **ways)
    return program.cutting_mm, program.cutting_min


def test_the_way_to_the_first_named_place_is_not_counted() -> None:
    """Each axis is known from where it is first named; before that nothing is guessed."""
    program = read("G0 X10\nX20\nG0 Y50 Z5\nZ2")
    assert program.rapid_mm == 10 + 3
    assert program.moves.y_mm == (50, 50)


def test_places_from_the_last_one_begin_at_nought() -> None:
    program = read("G91\nG0 X10\nX20 Y5")
    assert (program.moves.x_mm, program.moves.y_mm) == ((10, 30), (5, 5))


def test_length_is_along_the_path_and_minutes_by_the_feed() -> None:
    assert cut("G1 X3 Y4 Z-12") == (13, 0.13)
    assert cut("G1 X3 F50\nX6 F200") == (6, pytest.approx(3 / 50 + 3 / 200))


def test_rapids_go_along_the_path_at_the_routers_speed() -> None:
    program = read("G0 X0 Y0 Z0\nX300 Y400", rapid_mm_min=2000.0)
    assert (program.rapid_mm, program.rapid_min) == (500, 0.25)


def test_inverse_time_says_how_long_each_cut_takes() -> None:
    """Source: NIST IR 6556, 3.5.19: F2.0 is half a minute, whatever the way."""
    assert cut("G93 G1 X123 F2.0") == (123, 0.5)
    assert cut("G93 G1 X123 F2.0\nX0 F4") == (246, 0.75)
    assert cut("G93 G1 X0 F2.0") == (0, 0.5)
    assert "needs its own F" in refused(READY + "G93 G1 X1 F2\nX2").why
    assert "needs its own F" in refused(READY + "G93 G1 X1").why


def test_a_feed_of_each_turn_needs_the_spindles_speed() -> None:
    assert cut("S500 G95 G1 X100 F0.4") == (100, pytest.approx(0.5))
    assert "no spindle speed" in refused("G95 F1\nG0 X0\nG1 X1").why


@pytest.mark.parametrize(
    ("plane", "words"),
    [("G17", "X10 Y0 I5 J0 Z3"), ("G18", "Z10 X0 K5 I0 Y3"), ("G19", "Y10 Z0 J5 K0 X3")],
)
def test_an_arc_on_each_plane_and_the_way_it_goes_round(plane: str, words: str) -> None:
    """Half a circle of radius 5, 3 along the third axis: which side it bulges to tells the direction."""
    program = read(f"{READY}{plane} G2 {words}\nM2")
    assert program.cutting_mm == pytest.approx(hypot(5 * pi, 3))
    bulges = {"G17": program.cuts.y_mm, "G18": program.cuts.x_mm, "G19": program.cuts.z_mm}
    assert bulges[plane] == pytest.approx((0, 5))
    other = read(f"{READY}{plane} G3 {words}\nM2")
    bulges = {"G17": other.cuts.y_mm, "G18": other.cuts.x_mm, "G19": other.cuts.z_mm}
    assert bulges[plane] == pytest.approx((-5, 0))


def test_an_arc_that_dips_counts_its_lowest_place() -> None:
    program = read(READY + "G18 G2 X10 Z0 I5 K0\nM2")
    assert (program.tools[0].least_z_mm, program.tools[0].deepest_mm) == (
        pytest.approx(-5),
        pytest.approx(5),
    ) or (program.tools[0].least_z_mm == pytest.approx(0))
    deep = [read(f"{READY}G18 {code} X10 Z0 I5 K0\nM2").tools[0].deepest_mm for code in ("G2", "G3")]
    assert sorted(deep) == [pytest.approx(0, abs=1e-9), pytest.approx(5)]


def test_full_circles_with_and_without_their_end() -> None:
    assert cut("G2 X0 Y0 I5 J0")[0] == pytest.approx(10 * pi)
    assert cut("G3 I5")[0] == pytest.approx(10 * pi)
    assert cut("G3 I5 Z-3")[0] == pytest.approx(hypot(10 * pi, 3))


def test_centres_as_places_by_setting_or_code() -> None:
    text = "G1 X10\nG2 X20 Y0 I15 J0"
    half = 10 + 5 * pi
    assert cut(text, arc_centres="absolute")[0] == pytest.approx(half)
    assert cut("G90.1\n" + text)[0] == pytest.approx(half)
    assert cut("G91.1\nG1 X10\nG2 X20 Y0 I5 J0", arc_centres="absolute")[0] == pytest.approx(half)
    assert "no whole centre" in refused(READY + "G90.1 G2 X10 Y0 I5").why


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("G2 X1 Y1", "no radius"),
        ("G2 X10 Y0 I5 R5", "a radius (R) and a centre"),
        ("G2 X10 Y0 I5 K1", "K is no centre"),
        ("G2 X10 Y0 I3", "not equally far"),
        ("G2 R5", "ends where it begins"),
    ],
)
def test_arcs_that_are_refused(line: str, why: str) -> None:
    assert why in refused(READY + line).why


def test_how_far_radii_may_differ_is_a_setting() -> None:
    """0.002 mm is what the standard allows; programs of three decimals need more."""
    text = "G2 X10.003 Y0 I5 J0"
    assert cut(text)[0] == pytest.approx(5 * pi, rel=1e-3)
    assert "not equally far" in refused(READY + text, arc_slack_mm=0.002).why


def test_an_arc_from_an_unknown_place_is_refused() -> None:
    wrong = refused("F100\nG0 Z5\nG2 X10 Y0 I5 J0")
    assert (wrong.line, wrong.why) == (3, "an arc begins at a place that the program hasn't named.")


def test_cuts_without_a_feed_are_a_doubt_and_add_no_minutes() -> None:
    program = read("T1 M6 S9 M3\nG0 X0\nG1 X10\nX20\nF100 X30\nM2")
    assert said(program) == [
        "3: It cuts before any feed was set (F): the minutes of such cuts are not counted."
    ]
    assert program.doubts[0].times == 2
    assert (program.cutting_mm, program.cutting_min) == (30, 0.1)


def test_cuts_with_the_spindle_off_no_speed_no_tool_are_doubts() -> None:
    program = read("F100\nG0 X0\nG1 X10\nX20\nM2")
    assert [(doubt.line, doubt.times) for doubt in program.doubts] == [(3, 2)] * 3
    assert not program.spindle_ran
    assert said(read(READY + "M5\nG1 X1\nM2")) == ["5: It cuts while the spindle is off."]


@pytest.mark.parametrize(
    ("moves", "doubted"),
    [
        ("G0 Z-1", True),
        ("G1 Z-1\nG0 X10", True),
        ("G1 Z-1\nG0 Z5", False),
        ("G1 Z-1\nG0 Z-0.5", False),
        ("G0 X10", False),
        ("G1 Z-1\nG0 X10 Z5", True),
    ],
)
def test_rapids_through_the_work_are_a_doubt(moves: str, doubted: bool) -> None:
    """Sideways or down below Z0; drawn straight up nothing is touched that was not cut."""
    assert any("rapid speed" in line for line in said(read(READY + moves + "\nM2"))) == doubted
