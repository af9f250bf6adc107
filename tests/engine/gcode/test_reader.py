"""Whole programs: cut anywhere the same, progress, long files in little memory, lines named in errors."""

import tracemalloc
from collections.abc import Iterator

import pytest

from shoptrack.engine.gcode import BadProgram, read_program
from shoptrack.engine.gcode.lines import BLOCK
from shoptrack.engine.shapes.programs import Box
from tests.engine.gcode.programs import WAYS, read, refused, said

TRAY = """%
(a tray: pocket, then its outline)
N10 G21 G90 G17 G94
N20 T1 M6 (6 mm down-cut)
N30 S18000 M3
N40 G0 X20 Y20 Z5
N50 G1 Z-8 F600
N60 G1 X180 F2400
N70 Y80
N80 X20
N90 Y20
N100 G0 Z5
N110 T2 M6 (60 degree V)
N120 S16000 M3
N130 G0 X0 Y10
N140 G1 Z-2 F500
N150 G3 X10 Y0 I10 J0 F1200
N160 G1 X190
N170 G0 Z20
N180 M5
N190 M30
%
"""


def test_a_program_of_two_tools() -> None:
    program = read(TRAY, tool_change_s=30)
    pocket, outline = program.tools
    assert (pocket.number, pocket.label, outline.number, outline.label) == (
        1,
        "6 mm down-cut",
        2,
        "60 degree V",
    )
    assert pocket.cutting_mm == 13 + 160 + 60 + 160 + 60
    assert pocket.cutting_min == pytest.approx(13 / 600 + 440 / 2400)
    assert (pocket.deepest_mm, outline.deepest_mm) == (8, 2)
    assert (pocket.least_feed_mm_min, pocket.most_feed_mm_min) == (600, 2400)
    quarter = 3.14159265358979 * 5
    assert outline.cutting_mm == pytest.approx(7 + quarter + 180)
    assert program.cuts == Box((pytest.approx(0), 190), (pytest.approx(0), 80), (-8, 5))
    assert program.moves.z_mm == (-8, 20)
    assert program.rapid_mm == pytest.approx(13 + (20**2 + 10**2) ** 0.5 + 22)
    assert (program.tool_changes, program.change_min, program.dwell_min) == (2, 1, 0)
    assert program.hands_at_min == pytest.approx((0, 0.5 + pocket.cutting_min + 0.013))
    assert (program.lines, program.size_bytes, program.units) == (22, len(TRAY), ("mm",))
    assert (program.spindle_ran, said(program)) == (True, [])
    assert program.total_min == pytest.approx(
        1 + pocket.cutting_min + outline.cutting_min + program.rapid_mm / 1000
    )


def test_nothing_at_all_is_a_program_that_does_nothing() -> None:
    program = read("")
    assert (program.total_min, program.tools, program.strokes) == (0, (), ())
    assert program.moves == Box(None, None, None)
    assert said(program) == ["0: It ends without M2 or M30."]


def long_program(lines: int) -> Iterator[bytes]:
    yield b"G21 G90\nT1 M6\nS9 M3 F1000\nG0 X0 Y0 Z1\n"
    for n in range(lines):
        yield b"G1 X%d.%d Y%d Z-%d\n" % (n * 7 % 400, n % 10, n * 3 % 300, n % 6)
        if n % 1000 == 0:
            yield b"G2 I5 (a circle)\n"


def test_the_cuts_of_the_bytes_make_no_difference() -> None:
    """To the last digit, over several blocks."""
    text = b"".join(long_program(30_000))
    assert len(text) > 2 * BLOCK
    whole = read_program([text], WAYS)
    for size in (1_000, 65_536, 300_001):
        assert read_program((text[at : at + size] for at in range(0, len(text), size)), WAYS) == whole


def test_every_cut_of_a_short_program_is_the_same() -> None:
    text = TRAY.replace("\n", "\r\n").encode()
    whole = read_program([text], WAYS)
    assert all(read_program([text[:at], text[at:]], WAYS) == whole for at in range(len(text)))
    assert read_program([text[at : at + 1] for at in range(len(text))], WAYS) == whole


def test_progress_is_told_in_bytes() -> None:
    told: list[int] = []
    program = read_program(long_program(40_000), WAYS, told.append)
    assert told == sorted(told)
    assert told[0] == BLOCK
    assert told[-1] == program.size_bytes


def test_lines_are_counted_through_runs_and_blocks() -> None:
    text = b"".join(long_program(30_000))
    with pytest.raises(BadProgram) as caught:
        read_program([text, b"G1 X1 X2\n"], WAYS)
    assert caught.value.line == text.count(b"\n") + 1
    assert read_program([text], WAYS).lines == text.count(b"\n")


def test_a_line_too_long_is_named() -> None:
    assert refused("G0 X1\n" + "x" * 400_000).line == 2
    assert refused("G0 X1\n(" + "x" * 2_000 + ")").why == "it is longer than 2,000 signs."


def test_memory_stays_the_same_however_long_it_is() -> None:
    """Twice the lines; under 4 MB are held at once either way."""
    peaks = []
    for lines in (20_000, 40_000):
        tracemalloc.start()
        read_program(long_program(lines), WAYS)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert abs(peaks[1] - peaks[0]) < 0.5e6
    assert max(peaks) < 4e6


def test_the_drawing_is_bounded() -> None:
    assert 0 < len(read_program(long_program(50_000), WAYS).strokes) <= 4001
