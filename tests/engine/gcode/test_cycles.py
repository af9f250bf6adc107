"""Drilling cycles: each with its moves, repeats, what stays from line to line, and what is refused."""

import pytest

from shoptrack.engine.shapes.programs import Program
from tests.engine.gcode.programs import read, refused, said

READY = "T1 M6\nS1000 M3 F100\nG0 X0 Y0 Z10\n"


def drilled(text: str, **ways: object) -> Program:
    return read(f"{READY}{text}\nM2", **ways)


def sums(text: str) -> tuple[float, float, float]:
    """Rapid mm, cutting mm, dwell minutes."""
    program = drilled(text)
    return program.rapid_mm, program.cutting_mm, program.dwell_min


@pytest.mark.parametrize(
    ("cycle", "wanted"),
    [
        # to X3 Y4: 5; down to R2: 8; feed 2 to −4: 6; out to 10: 14
        ("G81 X3 Y4 Z-4 R2", (27.0, 6.0, 0.0)),
        ("G99 G81 X3 Y4 Z-4 R2", (19.0, 6.0, 0.0)),
        ("G82 X3 Y4 Z-4 R2 P3", (27.0, 6.0, 0.05)),
        ("G84 X3 Y4 Z-4 R2", (13.0, 20.0, 0.0)),
        ("G85 X3 Y4 Z-4 R2", (13.0, 20.0, 0.0)),
        ("G99 G85 X3 Y4 Z-4 R2", (13.0, 12.0, 0.0)),
        ("G86 X3 Y4 Z-4 R2 P3", (27.0, 6.0, 0.05)),
        ("G88 X3 Y4 Z-4 R2 P3", (13.0, 6.0, 0.05)),
        ("G89 X3 Y4 Z-4 R2 P3", (13.0, 20.0, 0.05)),
    ],
)
def test_each_cycle(cycle: str, wanted: tuple[float, float, float]) -> None:
    assert sums(cycle) == pytest.approx(wanted)


def test_pecks_go_out_and_back_in() -> None:
    """From 2 by 4 and 4 to −4 is two pecks: −2, then −4; between them out to 10 and back to −2 + .254.

    Rapid: 5 + 8 + 12 + 11.746 + 14. Fed: 4 + (.254 + 2).
    """
    assert sums("G83 X3 Y4 Z-4 R2 Q4") == pytest.approx((5 + 8 + 12 + 11.746 + 14, 6.254, 0))
    assert sums("G83 X3 Y4 Z-4 R2 Q9") == pytest.approx((27, 6, 0))


def test_back_boring_goes_in_beside_the_hole() -> None:
    """2 beside: sideways 5.83…; down 14; in 2; up to K and back at feed 3 + 3; out 2; up 14; back 2."""
    rapid, fed, _ = sums("G87 X3 Y4 Z-4 R2 I2 J0 K-1")
    assert (rapid, fed) == (pytest.approx((5**2 + 4**2) ** 0.5 + 14 + 2 + 2 + 14 + 2), 6)


def test_dwells_in_milliseconds_are_a_setting() -> None:
    assert drilled("G82 X1 Y1 Z-1 R1 P3000", dwell="milliseconds").dwell_min == pytest.approx(0.05)


def test_what_a_line_leaves_out_is_that_of_the_line_before() -> None:
    """Depth, R and P stay as long as the cycle is the same; L doesn't."""
    assert sums("G99 G82 X3 Y4 Z-4 R2 P3 L2\nX3 Y8") == pytest.approx((5 + 8 + 6 + 6 + 4 + 6, 18, 0.15))
    assert "lacks R" in refused(READY + "G81 X1 Z-1 R1\nG82 X2 Z-1 P1").why
    assert "lacks Z and R" in refused(READY + "G81 X1 Z-1 R1\nG0 X2\nG81 X2").why


def test_repeats_go_on_by_the_same_way_from_the_last_place() -> None:
    program = drilled("G91 G99 G81 X10 Z-3 R-8 L4")
    assert program.cuts.x_mm == (10, 40)
    assert program.cuts.z_mm == (-1, 2)
    assert program.cutting_mm == 12


def test_below_r_the_tool_first_goes_up() -> None:
    assert sums("G1 Z-1 F100\nG81 X3 Y4 Z-4 R2")[0] == pytest.approx(3 + 5 + 6)


def test_another_plane_drills_along_its_axis() -> None:
    program = drilled("G19 G81 X-7 Y0 Z10 R3")
    assert program.cuts.x_mm == (-7, 3)
    assert program.cutting_mm == 10


def test_one_drawn_back_by_hand_needs_somebody() -> None:
    program = drilled("G88 X3 Y4 Z-4 R2 P0")
    assert [halt.kind for halt in program.halts] == ["tool change", "stop"]
    assert program.hands_at_min[1] == pytest.approx(0.06 + 0.013)


def test_pecks_are_no_rapids_through_the_work() -> None:
    assert said(drilled("G83 X3 Y4 Z-4 R2 Q1")) == []


def test_minutes_are_those_of_the_feed() -> None:
    assert drilled("G81 X3 Y4 Z-4 R2").cutting_min == pytest.approx(0.06)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("G81 X1 R1", "lacks Z"),
        ("G82 X1 Z-1 R1", "lacks P"),
        ("G83 X1 Z-1 R1", "lacks Q"),
        ("G83 X1 Z-1 R1 Q0", "not above 0"),
        ("G87 X1 Z-1 R1 I1", "lacks J and K"),
        ("G18 G87 X1 Y-1 Z1 R1 I1 J1 K1", "plane of X and Y alone"),
        ("G81 X1 Z2 R1", "lies below its depth"),
        ("G81 X1 Z-1 R1 L0", "no whole number of 1 or more"),
        ("G81 X1 Z-1 R1 L1.5", "no whole number of 1 or more"),
        ("G82 X1 Z-1 R1 P-1", "below 0"),
        ("G93 G81 X1 Z-1 R1 F1", "inverse time"),
        ("G81", "names no place"),
        ("G83 X1 Z-1 R1 Q0.000001", "more than 200,000"),
        ("G81 X1 Z-1 R1 L2000000", "more than 200,000"),
    ],
)
def test_what_is_refused(line: str, why: str) -> None:
    assert why in refused(READY + line).why


def test_from_an_unknown_height_nothing_is_guessed() -> None:
    assert "hasn't named" in refused("F1\nG0 X0 Y0\nG81 X1 Z-1 R1").why


def test_holes_are_dots_of_the_drawing() -> None:
    holes = "\n".join(f"X{n % 7 * 10} Y{n // 7 * 10}" for n in range(1, 40))
    strokes = drilled(f"G81 X0 Y0 Z-4 R2\n{holes}").strokes
    assert sum((s.x0_mm, s.y0_mm) == (s.x1_mm, s.y1_mm) for s in strokes) == 40
