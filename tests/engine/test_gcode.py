"""What must hold of every program: inches, steps and spaces change nothing it does, and no bytes break it."""

from math import isfinite

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode import BadProgram, read_program
from shoptrack.engine.shapes.programs import Program
from tests.engine.gcode.programs import WAYS, read

Corner = tuple[int, int, int, bool]
# thousandths of an inch that are whole micrometres fifty times over, so that both units are written exactly
corners = st.lists(
    st.tuples(st.integers(-40, 40), st.integers(-40, 40), st.integers(-10, 10), st.booleans()),
    min_size=1,
    max_size=40,
)
HEAD = "T1 M6\nS12000 M3\n"


def numbers(program: Program) -> list[float]:
    """All that it does, but for lines, units and the drawing."""
    found = [program.rapid_min, program.rapid_mm, program.dwell_min, program.total_min, program.cutting_mm]
    for box in (program.cuts, program.moves):
        for reach in (box.x_mm, box.y_mm, box.z_mm):
            found += reach or (0.0, 0.0)
    for tool in program.tools:
        found += [tool.cutting_min, tool.deepest_mm, tool.least_feed_mm_min or 0, tool.most_feed_mm_min or 0]
    return found


def same(one: Program, other: Program) -> None:
    assert numbers(one) == pytest.approx(numbers(other), rel=1e-9, abs=1e-9)
    assert [d.sentence for d in one.doubts] == [d.sentence for d in other.doubts]


def absolute(way: list[Corner], step: float = 1.27, places: int = 2, feed: str = "F635") -> str:
    lines = [f"G0 X0 Y0 Z0 {feed}"]
    for x, y, z, cuts in way:
        lines.append(f"G{int(cuts)} X{x * step:.{places}f} Y{y * step:.{places}f} Z{z * step:.{places}f}")
    return "\n".join(lines)


@given(corners)
@settings(max_examples=60, deadline=None)
def test_inches_and_millimetres_do_the_same(way: list[Corner]) -> None:
    """A twentieth of an inch is 1.27 mm; 25 in/min are 635 mm/min."""
    metric = read(HEAD + "G21\n" + absolute(way))
    inches = read(HEAD + "G20\n" + absolute(way, 0.05, 2, "F25"))
    same(metric, inches)
    assert (metric.units, inches.units) == (("mm",), ("inch",))
    same(metric, read(HEAD + absolute(way, 0.05, 2, "F25"), starts_in="inch"))


@given(corners)
@settings(max_examples=60, deadline=None)
def test_places_and_steps_do_the_same(way: list[Corner]) -> None:
    lines, last = ["G0 X0 Y0 Z0 F635", "G91"], (0, 0, 0)
    for x, y, z, cuts in way:
        steps = [(a - b) * 1.27 for a, b in zip((x, y, z), last, strict=True)]
        lines.append(f"G{int(cuts)} X{steps[0]:.2f} Y{steps[1]:.2f} Z{steps[2]:.2f}")
        last = (x, y, z)
    same(read(HEAD + absolute(way)), read(HEAD + "\n".join(lines)))


@given(corners)
@settings(max_examples=40, deadline=None)
def test_small_letters_spaces_and_numbers_of_lines_change_nothing(way: list[Corner]) -> None:
    text = HEAD + absolute(way)
    spaced = "\n".join(" ".join(line.replace(" ", "").lower()) for line in text.split("\n"))
    numbered = "\n".join(f"N{n * 10} {line} (so)" for n, line in enumerate(text.split("\n")))
    same(read(text), read(spaced))
    same(read(text), read(numbered))


@given(corners)
@settings(max_examples=40, deadline=None)
def test_twice_the_feed_and_the_rapids_is_half_the_time(way: list[Corner]) -> None:
    slow = read(HEAD + absolute(way))
    fast = read(HEAD + absolute(way, feed="F1270"), rapid_mm_min=2000.0)
    assert fast.total_min == pytest.approx(slow.total_min / 2)


@given(corners, corners)
@settings(max_examples=40, deadline=None)
def test_two_tools_add_up(first: list[Corner], second: list[Corner]) -> None:
    both = read(f"{HEAD}{absolute(first)}\nG0 X0 Y0 Z0\nT2 M6\n{absolute(second)}")
    alone = [read(HEAD + absolute(way)) for way in (first, second)]
    assert both.cutting_min == pytest.approx(sum(each.cutting_min for each in alone))
    assert both.total_min == pytest.approx(sum(tool.cutting_min for tool in both.tools) + both.rapid_min)
    assert both.halts[-1].tool == 2


SIGNS = [
    *"GMXYZFSTRIJKPQLNH#[]()=;%/. -+0123456789\n",
    "G2",
    "G81",
    "G91",
    "G92",
    "G28",
    "M6",
    "M30",
    "**",
    "sin[",
]


LINES = """G1 X1|G0 Z-1|G2 I1|G81 X1 Z-1 R1|G91|G28|G92 X5|G93 G1 X1 F3|G94|G18|G17|G20|G80|X3 Y4|M5
T2 M6|G4 P1|G99|F9|G3 X1 Y1 R2|G53 G0 Z0|G83 X2 Z-2 R1 Q.5 L2|M0|G95|S5|G92.1""".replace("\n", "|").split("|")


def is_sound(text: bytes) -> None:
    """It is read, to numbers that are some, or refused by a line that it has."""
    wrong: BadProgram | None = None
    try:
        program = read_program([text], WAYS)
    except BadProgram as caught:
        wrong = caught
    if wrong:
        assert 1 <= wrong.line <= text.count(b"\n") + text.count(b"\r") + 1
        assert wrong.why
        return
    assert all(isfinite(number) for number in numbers(program))
    assert program.total_min >= 0
    assert program.size_bytes == len(text)


@given(st.binary(max_size=300))
@example(b"\xff\xfeG\x000\x00")
@example(b"G0 X0 Y0\nF.0000001\nG1 X1")
@example(b"#1=1000000000\n#1=[#1*#1]")
@example(b"G1 X[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[")
def test_no_bytes_at_all_break_it(text: bytes) -> None:
    is_sound(text)


@given(st.lists(st.sampled_from(SIGNS), max_size=60).map("".join))
@settings(max_examples=300, deadline=None)
def test_no_words_in_any_order_break_it(text: str) -> None:
    is_sound(b"F100 S9\nG0 X0 Y0 Z9\n" + text.encode())


@given(st.lists(st.sampled_from(LINES), max_size=30))
@settings(max_examples=200, deadline=None)
def test_no_lines_in_any_order_break_it(lines: list[str]) -> None:
    is_sound(("F100 S9\nG0 X0 Y0 Z9\n" + "\n".join(lines)).encode())
