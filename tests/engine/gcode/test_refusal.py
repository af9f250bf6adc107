"""The sentence of a program that can't be read names its line."""

from shoptrack.engine.gcode.refusal import BadProgram
from shoptrack.errors import BadInput


def test_it_names_the_line_and_is_bad_input() -> None:
    wrong = BadProgram(12, "X stands twice.")
    assert isinstance(wrong, BadInput)
    assert (str(wrong), wrong.line, wrong.why, wrong.field) == (
        "Line 12: X stands twice.",
        12,
        "X stands twice.",
        "",
    )
