"""Machine programs held against the examples of NIST IR 6556, the geometry of the trade, and a second reader.

NIST IR 6556 is *The NIST RS274NGC Interpreter, Version 3* (2000); numbers in brackets are its sections. Where
it prints moves, their lengths are summed here.
"""

from math import asin, dist, hypot, pi, sqrt

import pytest
from gcodeparser import parse_gcode_lines
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode import BadProgram, read_program
from shoptrack.engine.shapes.programs import Program, Ways

WAYS = Ways(rapid_mm_min=1000.0)


def read(text: str, ways: Ways = WAYS) -> Program:
    return read_program([text.encode()], ways)


def least(reach: tuple[float, float] | None) -> float:
    assert reach is not None
    return reach[0]


# --- lines and values --------------------------------------------------------------------------------


def test_spaces_and_small_letters() -> None:
    """(3.3.2) ``g0x +0. 12 34y 7`` is ``g0 x+0.1234 y7``; read."""
    assert read("g0x +0. 12 34y 7").moves == read("g0 x+0.1234 y7").moves
    assert read("g0x +0. 12 34y 7").moves.x_mm == (0.1234, 0.1234)


def test_a_binary_operation_binds_as_the_example_says() -> None:
    """(3.3.2.3) [2.0 / 3 * 1.5 − 5.5 / 11.0] is 0.5; from memory, the arithmetic agrees."""
    assert least(read("G0 X[2.0 / 3 * 1.5 - 5.5 / 11.0]").moves.x_mm) == pytest.approx(0.5, abs=1e-15)


def test_fix_and_fup_go_down_and_up() -> None:
    """(3.3.2.4) FIX[2.8] = 2, FIX[−2.8] = −3, FUP[2.8] = 3, FUP[−2.8] = −2; from memory."""
    text = "G0 X[FIX[2.8]] Y[FIX[-2.8]]\nM2", "G0 X[FUP[2.8]] Y[FUP[-2.8]]\nM2"
    down, up = (read(each).moves for each in text)
    assert (least(down.x_mm), least(down.y_mm), least(up.x_mm), least(up.y_mm)) == (2, -3, 3, -2)


def test_a_parameter_takes_its_value_after_the_line() -> None:
    """(3.3.2.1) With 15 in #3 the line ``#3=6 G1 X#3`` goes to 15, and #3 is 6 from then on; from memory."""
    program = read("#3=15 F100\nG0 X0\n#3=6 G1 X#3\nG1 X#3\nM2")
    assert program.cutting_mm == 15 + 9


def test_a_parameter_of_a_parameter() -> None:
    """(3.3.2.2) ##2 is the value of the parameter whose number is in #2; #1+2 adds 2 to #1; from memory."""
    assert least(read("#2=7\n#7=41\n#1=10\nG0 X##2 Y[#1+2]").moves.x_mm) == 41
    assert least(read("#1=10\nG0 Y[#1+2]").moves.y_mm) == 12


# --- arcs --------------------------------------------------------------------------------------------


def test_an_arc_by_its_centre() -> None:
    """(3.5.3.2) From (7, 7, 9): centre (10, 11), radius 5; read. Its length 12.49046 is computed.

    The circle is left after its leftmost place and before its topmost: X from 5, Y to 16.
    """
    program = read("F100\nG0 X7 Y7 Z9\nG17 G2 X10 Y16 I3 J4 Z9")
    assert program.cutting_mm == pytest.approx(12.49046, abs=5e-6)
    assert program.cuts.x_mm == pytest.approx((5, 10))
    assert program.cuts.y_mm == pytest.approx((7, 16))


def test_an_arc_by_its_radius() -> None:
    """(3.5.3.1) ``G17 G2 X10 Y15 R20 Z5`` has radius 20 and ends at (10, 15, 5), a helix where Z changes;
    from memory. From (0, 0, 0) its chord is √325, so the sweep is 2 asin(√325 / 40) (geometry).
    """
    program = read("F100\nG0 X0 Y0 Z0\nG17 G2 X10 Y15 R20 Z5")
    assert program.cutting_mm == pytest.approx(hypot(20 * 2 * asin(sqrt(325) / 40), 5))
    longer = read("F100\nG0 X0 Y0 Z0\nG17 G2 X10 Y15 R-20 Z5")
    assert longer.cutting_mm == pytest.approx(hypot(20 * (2 * pi - 2 * asin(sqrt(325) / 40)), 5))


@pytest.mark.parametrize(
    ("unit", "off", "ways_mm"),
    [("G21", 0.001, 0.002), ("G20", 0.0001, 0.0002 * 25.4)],
)
def test_how_far_radii_may_differ(unit: str, off: float, ways_mm: float) -> None:
    """(3.5.3.2) An error from a difference of 0.002 mm or 0.0002 in on; as a setting of the router."""
    ways = Ways(rapid_mm_min=1000.0, arc_slack_mm=ways_mm)
    text = f"{unit} F10\nG0 X0 Y0\nG2 Y0 I1 J0 X"
    assert read(f"{text}{2 + off}", ways).cutting_mm > 0
    with pytest.raises(BadProgram, match="not equally far"):
        read(f"{text}{2 + 3 * off}", ways)


# --- feeds, dwells, tools ----------------------------------------------------------------------------


def test_inverse_time() -> None:
    """(3.5.19) F2.0 by G93: the move is done in half a minute; read."""
    assert read("G0 X0\nG93 G1 X77 F2.0").cutting_min == 0.5


def test_the_feed_of_a_helix_is_along_the_helix() -> None:
    """(2.1.2.5) A turn of radius 10 that falls by 5 at 100 a minute: √((20π)² + 5²) / 100; read."""
    assert read("F100\nG0 X0 Y0 Z0\nG2 I10 J0 Z-5").cutting_min == pytest.approx(hypot(20 * pi, 5) / 100)


def test_a_dwell_is_in_seconds() -> None:
    """(3.5.4) P is in seconds; read. Other controls take milliseconds."""
    assert read("G4 P30").dwell_min == 0.5
    assert read("G4 P500", Ways(1000.0, dwell="milliseconds")).dwell_min == pytest.approx(0.5 / 60)


def test_a_tool_named_is_not_changed() -> None:
    """(3.6.3, 3.7.3) T alone changes nothing; M6 changes to the tool last named; read."""
    program = read("F100\nG0 X0\nT3\nG1 X1\nM6\nG1 X2\nT4\nG1 X4\nM2")
    assert [(tool.number, tool.cutting_mm) for tool in program.tools] == [(0, 1), (3, 3)]


# --- drilling ----------------------------------------------------------------------------------------


def test_a_drilled_hole() -> None:
    """(3.5.16.2) From (1, 2, 3): to (4, 5, 3), to (4, 5, 2.8), feed to (4, 5, 1.5), to (4, 5, 3); read."""
    program = read("F100\nG0 X1 Y2 Z3\nG90 G81 G98 X4 Y5 Z1.5 R2.8\nM2")
    assert (program.rapid_mm, program.cutting_mm) == (pytest.approx(5.94264, abs=5e-6), pytest.approx(1.3))
    assert program.cuts.z_mm == (1.5, 2.8)


def test_three_holes_by_steps() -> None:
    """(3.5.16.2) By steps of (4, 5) from (1, 2, 3): R at 4.8, 0.6 deep at (5, 7), (9, 12), (13, 17); read."""
    program = read("F100\nG0 X1 Y2 Z3\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3\nM2")
    assert (program.rapid_mm, program.cutting_mm) == (pytest.approx(22.80937, abs=5e-6), pytest.approx(1.8))
    dots = [(s.x0_mm, s.y0_mm) for s in program.strokes if (s.x0_mm, s.y0_mm) == (s.x1_mm, s.y1_mm)]
    assert dots == [(5, 7), (9, 12), (13, 17)]
    assert program.cuts.z_mm == pytest.approx((4.2, 4.8))


# --- the trade's geometry ----------------------------------------------------------------------------


def test_a_groove_by_a_v_bit() -> None:
    """2·d·tan(θ/2): 60° and 0.2 in deep are 0.2309 in wide (geometry), as an expression in inches."""
    wide = least(read("G20 #1=0.2 #2=60\nG0 X[2*#1*TAN[#2/2]]").moves.x_mm)
    assert wide / 25.4 == pytest.approx(0.2309, abs=5e-5)


def test_a_feed_of_teeth() -> None:
    """rpm × flutes × chip load: 18,000 × 2 × 0.1 mm = 3600 mm/min (arithmetic); 3.6 m in a minute."""
    program = read("#1=18000 #2=2 #3=0.1\nS#1 M3 F[#1*#2*#3]\nG0 X0\nG1 X3600\nM2")
    assert program.tools[0].most_feed_mm_min == 3600
    assert program.cutting_min == 1
    by_turn = read("S18000 M3 G95 F0.2\nG0 X0\nG1 X3600\nM2")
    assert by_turn.cutting_min == pytest.approx(1)


def test_an_inch_is_25_4_mm() -> None:
    """Exact since the agreement of 1959."""
    assert read("G20 G0 X1").moves.x_mm == (25.4, 25.4)


# --- a second reader ---------------------------------------------------------------------------------

coordinates = st.decimals(-300, 300, places=3)
moves = st.tuples(
    st.sampled_from([0, 1]), st.lists(st.sampled_from("XYZ"), min_size=1, max_size=3, unique=True)
)


@st.composite
def programs(draw: st.DrawFn) -> str:
    lines = ["G0 X0 Y0 Z0"]
    for code, axes in draw(st.lists(moves, min_size=1, max_size=50)):
        words = [f"{axis}{draw(coordinates)}" for axis in axes]
        feed = f" F{draw(st.integers(50, 5000))}" if code and draw(st.booleans()) else ""
        comment = draw(st.sampled_from(["", " ; on", " ;", ""]))
        lines.append(f"G{code} {' '.join(words)}{feed}{comment}")
    return "\n".join(lines)


def walked(text: str) -> tuple[float, float, float]:
    """Rapid mm, cutting mm and minutes, from the words as the other reader takes them."""
    place, feed = {"X": 0.0, "Y": 0.0, "Z": 0.0}, 300.0
    rapid, cut, minutes = 0.0, 0.0, 0.0
    for line in parse_gcode_lines(text):
        assert line.command[0] == "G"
        before = list(place.values())
        words = {letter: float(value) for letter, value in line.params.items()}
        feed = words.pop("F", feed)
        place |= words
        way = dist(before, list(place.values()))
        if line.command[1] == 0:
            rapid += way
        else:
            cut, minutes = cut + way, minutes + way / feed
    return rapid, cut, minutes


@given(programs())
@settings(max_examples=80, deadline=None)
def test_another_reader_finds_the_same_words(text: str) -> None:
    """gcodeparser splits lines into words and does no more; their sums are made here, move by move."""
    program = read("F300\n" + text)
    found = program.rapid_mm, program.cutting_mm, program.cutting_min
    assert found == pytest.approx(walked(text), rel=1e-9, abs=1e-9)
