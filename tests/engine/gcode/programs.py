"""The text of a program → what the reader makes of it, on a router that is easy to reckon with."""

from dataclasses import replace

import pytest

from shoptrack.engine.gcode import BadProgram, read_program
from shoptrack.engine.gcode.machine import obey
from shoptrack.engine.gcode.state import State, beginning
from shoptrack.engine.shapes.programs import Program, Ways

WAYS = Ways(rapid_mm_min=1000.0)
"""Rapid moves of a metre a minute."""


def read(text: str, **ways: object) -> Program:
    return read_program([text.encode()], replace(WAYS, **ways))  # type: ignore[arg-type]


def obeyed(*lines: str, ways: Ways = WAYS) -> State:
    """What holds after some lines, each read alone."""
    state = beginning(ways)
    for line in lines:
        obey(state, line.encode())
    return state


def refused(text: str, **ways: object) -> BadProgram:
    with pytest.raises(BadProgram) as caught:
        read(text, **ways)
    return caught.value


def said(program: Program) -> list[str]:
    """The doubts by their first words, with their lines."""
    return [f"{doubt.line}: {doubt.sentence}" for doubt in program.doubts]
