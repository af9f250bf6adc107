"""Lines one after the other: tools, stops, shifts, places of the machine, ends, words without a use."""

from math import isnan

import pytest

from tests.engine.gcode.programs import obeyed, read, refused, said


def test_a_tool_is_changed_by_m6_to_the_last_one_named() -> None:
    """Source: NIST IR 6556, 3.6.3 and 3.7.3: T alone changes nothing."""
    assert obeyed("T3").tally.tool == 0
    assert obeyed("T3", "M6").tally.tool == 3
    assert obeyed("T3 M6", "T4").tally.tool == 3
    assert obeyed("T3 M6", "T4", "T5", "M6").tally.tool == 5


def test_the_same_tool_again_is_no_change() -> None:
    program = read("T1 M6\nT1 M6\nM6\nT2 M6\nM2", tool_change_s=30)
    assert (program.tool_changes, program.change_min) == (2, 1)


def test_a_change_stops_the_spindle_until_it_is_told_again() -> None:
    cut = "F9\nG0 X0\nG1 X1\nM2"
    assert said(read(f"S9 M3\nT1 M6\n{cut}")) == ["5: It cuts while the spindle is off."]
    assert said(read(f"T1 M6 S9 M3\n{cut}")) == []
    assert said(read(f"M6 T1\nS9 M4\n{cut}")) == []


def test_changes_by_hand_need_somebody_at_their_minute() -> None:
    text = "T1 M6\nS9 M3 F100\nG0 X0\nG1 X50\nT2 M6\nG1 X100\nG4 P30\nM0\nG1 X150\nM1\nM2"
    program = read(text, tool_change_s=60)
    assert program.hands_at_min == pytest.approx((0, 1.5, 1.5 + 1 + 0.5 + 0.5, 4))
    assert [(halt.kind, halt.line, halt.tool) for halt in program.halts] == [
        ("tool change", 1, 1),
        ("tool change", 5, 2),
        ("stop", 8, 2),
        ("stop", 10, 2),
    ]
    assert (program.dwell_min, program.total_min) == (0.5, 4)
    assert read(text, changes_alone=True).hands_at_min == pytest.approx((1.5, 2))


def test_what_came_before_a_halt_is_told_with_it() -> None:
    halt = read("T1 M6\nF100\nG0 X0\nX20\nG1 X70\nG4 P6\nM0").halts[1]
    assert (halt.cutting_min, halt.rapid_mm, halt.dwell_min) == (0.5, 20, pytest.approx(0.1))


@pytest.mark.parametrize(
    "text",
    [
        "T7 M6 (6 mm flat)",
        "T7 (6 mm flat)\nM6",
        "(6 mm flat)\nT7 M6",
        "(6 mm flat)\nT7\nG0 X1\nM6",
        "T7\n; 6 mm flat\nM6",
        "(safety line)\n( )\n(6 mm flat)\nN40 M6 T7",
    ],
)
def test_a_tool_takes_its_label_from_the_comment_beside_it(text: str) -> None:
    (tool,) = read(text).tools
    assert (tool.number, tool.label) == (7, "6 mm flat")


def test_a_comment_farther_off_is_no_label() -> None:
    assert read("(6 mm flat)\nG0 X1\nT7 M6").tools[0].label == ""
    assert read("(6 mm flat)\n\nT7 M6").tools[0].label == "6 mm flat"


def test_a_change_with_no_tool_named_is_a_doubt() -> None:
    assert said(read("M6\nM2")) == ["1: It changes tools, but no tool was named before (T): taken as tool 0."]


def test_dwells_by_the_unit_of_the_router() -> None:
    assert read("G4 P90").dwell_min == 1.5
    assert read("G4 P1500", dwell="milliseconds").dwell_min == 0.025
    assert "lacks the time" in refused("G4").why
    assert "below 0" in refused("G4 P-1").why


def test_a_dwell_comes_before_the_move_of_its_line() -> None:
    program = read("G0 X0\nG0 X10 G4 P60\nM2")
    assert (program.dwell_min, program.rapid_mm) == (1, 10)


def test_a_shift_moves_the_numbers_and_not_the_tool() -> None:
    """G92: reaches stay in the coordinates of the program's start, depths go by the new ones."""
    program = read("T1 M6 S9 M3 F100\nG0 X10 Y0 Z5\nG92 X0 Z0\nG1 X5 Z-2\nG92.1\nG1 X20\nM2")
    assert program.moves.x_mm == (10, 20)
    assert program.moves.z_mm == (3, 5)
    assert program.tools[0].least_z_mm == -2
    assert program.cutting_mm == pytest.approx((25 + 4) ** 0.5 + 5)


def test_a_shift_is_put_aside_and_brought_back() -> None:
    state = obeyed("G0 X10", "G92 X1", "G92.2")
    assert state.place[0] == 10
    assert obeyed("G0 X10", "G92 X1", "G92.2", "G92.3").place[0] == 1
    assert obeyed("G0 X10", "G92 X1", "G92.1", "G92.3").place[0] == 10
    assert "names no place" in refused("G92").why


def test_a_shift_from_an_unknown_place_begins_there() -> None:
    program = read("G92 X0 Y0 Z0\nG0 X10\nM2")
    assert (program.rapid_mm, program.moves.x_mm) == (10, (0, 10))


@pytest.mark.parametrize("line", ["G28", "G30", "G28 X0", "G53 G0 X0 Y0 Z0"])
def test_a_place_of_the_machine_is_unknown_and_a_doubt(line: str) -> None:
    program = read(f"G0 X0 Y0 Z0\n{line}\nG0 X50 Y50\nX60\nM2")
    assert program.rapid_mm == 10
    assert said(program) == [
        "2: It goes where only the machine knows (G28, G30, G53): that way is not counted."
    ]


def test_the_way_over_a_named_place_is_counted() -> None:
    assert read("G0 X0 Y0 Z0\nG28 X30").rapid_mm == 30
    assert read("G0 X0 Y0 Z0\nG91 G28 Z30\nG90 G0 X0").rapid_mm == 30


def test_only_the_named_axes_are_lost_by_g53() -> None:
    place = obeyed("G0 X1 Y2 Z3", "G53 G0 Z0").place
    assert place[:2] == (1, 2)
    assert isnan(place[2])
    assert "G53 is followed here with G0 alone" in refused("F1\nG1 X1\nG53 X2").why


def test_a_program_ends_at_its_end() -> None:
    for end in ("M2", "M30", "%"):
        program = read(f"%\nG0 X1\n{end}\nthis is no program any more\n")
        assert (program.lines, program.doubts) == (4, ())
    assert said(read("G0 X1\n")) == ["1: It ends without M2 or M30."]


def test_a_percent_sign_alone_opens_a_program() -> None:
    assert read("(said)\n%\nG0 X1\nM2").moves.x_mm == (1, 1)
    assert read("G0 X1\n%\nG0 X2").moves.x_mm == (1, 1)


@pytest.mark.parametrize(
    ("text", "line", "why"),
    [
        ("X1", 1, "no motion"),
        ("G0 X1\nG80\nX2", 3, "no motion"),
        ("G0 X1 I5", 1, "nothing on it asks for I"),
        ("G0 X1 R5", 1, "nothing on it asks for R"),
        ("G1 X1 P5", 1, "nothing on it asks for P"),
        ("G2 X1 R5 Q5", 1, "nothing on it asks for Q"),
        ("\nD1", 2, "nothing on it asks for D"),
        ("H1", 1, "nothing on it asks for H"),
        ("G28 G0 X1", 1, "two codes on it want X, Y or Z"),
        ("T-1", 1, "tool's number"),
        ("T1.5", 1, "tool's number"),
    ],
)
def test_what_is_refused(text: str, line: int, why: str) -> None:
    wrong = refused(text)
    assert wrong.line == line
    assert why in wrong.why


def test_words_without_a_use_here_do_no_harm() -> None:
    state = obeyed("G40 G49 G80 G54 G61 M9 M48", "G43 H3", "G61.1", "G64", "G59.3")
    assert (state.motion, state.tally.rapid_mm) == (800, 0)


def test_a_line_that_is_only_a_code_moves_nothing() -> None:
    state = obeyed("G0 X0", "G1 F100", "X5")
    assert (state.motion, state.tally.cutting_min()) == (10, 0.05)


def test_parameters_and_expressions_make_numbers() -> None:
    program = read("#1=10\n#2=[#1*2]\nG0 X#1 Y#2\nX[#1+SQRT[9]]\nM2")
    assert (program.moves.x_mm, program.moves.y_mm) == ((10, 13), (20, 20))
