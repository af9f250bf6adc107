"""The program that carves a door's panels, reckoned by hand."""

from math import asin, pi

import pytest

from shoptrack.demo.programs import ROUTER
from shoptrack.demo.reeds import reed_program
from shoptrack.engine.gcode import against_bed, against_flute, read_program
from shoptrack.engine.shapes.programs import Program
from shoptrack.flows.programs.from_program import ways_of

INCH_MM = 25.4


@pytest.fixture
def read() -> Program:
    return read_program([reed_program()], ways_of(ROUTER))


def test_the_minutes_are_those_that_a_hand_reckons(read: Program) -> None:
    """Eight reeds of four bends with a chord of 9 and a radius of 12, cut three times at 35 in a minute;
    twelve rosettes of three rings, each cut three times at 17. Plunges go at 12, from 0.25 above.
    """
    bend_in = 2 * 12 * asin(9 / 2 / 12)
    rings_in = 2 * pi * (0.3 + 0.6 + 0.9)
    vee, upcut = read.tools
    assert vee.cutting_min == pytest.approx(8 * (3 * 4 * bend_in / 35 + (0.25 + 0.14) / 12), rel=1e-6)
    assert upcut.cutting_min == pytest.approx(12 * (3 * rings_in / 17 + 3 * (0.25 + 0.19) / 12), rel=1e-6)
    assert vee.cutting_mm == pytest.approx(8 * (12 * bend_in + 0.25 + 0.14) * INCH_MM, rel=1e-6)


def test_it_has_two_bits_arcs_dwells_and_nothing_to_doubt(read: Program) -> None:
    text = reed_program().decode()
    assert 300 < read.lines < 1000
    assert (text.count("\nG2 "), text.count("\nG3 ")) == (8 * 6, 8 * 6 + 12 * 9)
    assert read.dwell_min == pytest.approx(2 * 3 / 60)
    assert [tool.label for tool in read.tools] == ["60 V-bit", "1/8 upcut"]
    assert read.tool_changes == 2
    assert read.doubts == ()
    assert read.units == ("inch",)


def test_it_lies_on_the_bed_and_within_the_flutes(read: Program) -> None:
    """A bed of 49 by 33 in; bits with flutes of half an inch and more, the deepest cut 0.19 in."""
    assert against_bed(read, 49 * INCH_MM, 33 * INCH_MM) == ()
    assert max(tool.deepest_mm for tool in read.tools) == pytest.approx(0.19 * INCH_MM)
    assert not any(against_flute(tool, 12.7) for tool in read.tools)
