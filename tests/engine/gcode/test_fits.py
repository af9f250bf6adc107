"""What finds no room on the bed, and what is deeper than the flute."""

from shoptrack.engine.gcode.fits import against_bed, against_flute
from shoptrack.engine.units import show_length
from tests.engine.gcode.programs import read

WIDE = "T1 M6\nF100 S9 M3\nG0 X-100 Y0 Z5\nG1 Z-12\nX1200 Y600\nM2"


def test_what_finds_room_says_nothing() -> None:
    assert against_bed(read(WIDE), 1300, 600) == ()
    assert against_bed(read("M2"), 1, 1) == ()


def test_each_axis_that_is_too_short_says_so() -> None:
    assert against_bed(read(WIDE), 1250, 500) == (
        "It moves over 1300 mm along X; the bed has 1250 mm.",
        "It moves over 600 mm along Y; the bed has 500 mm.",
    )


def test_rapids_need_room_too() -> None:
    assert len(against_bed(read("G0 X0 Y0\nX2000"), 1250, 500)) == 1


def test_deeper_than_the_flute() -> None:
    (tool,) = read(WIDE).tools
    assert against_flute(tool, 12) == ""
    assert against_flute(tool, 10) == "It cuts 12 mm below Z0; the flute is 10 mm long."


def test_lengths_are_written_as_the_shop_writes_them() -> None:
    (tool,) = read(WIDE).tools
    assert against_flute(tool, 6.35, lambda mm: show_length(mm, "in")) == (
        'It cuts 1/2" below Z0; the flute is 1/4" long.'
    )


def test_a_tool_that_stays_above_is_not_deep() -> None:
    (tool,) = read("T1 M6\nF9\nG0 X0 Z5\nG1 X9\nM2").tools
    assert (tool.deepest_mm, against_flute(tool, 0)) == (0, "")
