"""What a program reaches, beside what the bed and the flute have → a sentence for each that is too short."""

from collections.abc import Callable
from typing import Protocol

from shoptrack.engine.shapes.programs import Box, Reach, ToolUse
from shoptrack.engine.units import show_length

_SLACK_MM = 0.05
Say = Callable[[float], str]
"""Millimetres to how the shop writes a length."""


class Moves(Protocol):
    """Whatever knows how far a program moves: the program itself, or what was kept of it."""

    @property
    def moves(self) -> Box:
        """The reach of all moves."""
        ...


def _in_mm(mm: float) -> str:
    return show_length(mm, "mm")


def against_bed(
    program: Moves, bed_length_mm: float, bed_width_mm: float, say: Say = _in_mm
) -> tuple[str, ...]:
    """Whether all moves find room: the bed's length lies along X, its width along Y.

    Gives a sentence for each axis on which they don't. Where on the bed the work lies is not in the program,
    so what is compared is from the least to the most, at the tool's middle.
    """
    reaches = ((program.moves.x_mm, "X", bed_length_mm), (program.moves.y_mm, "Y", bed_width_mm))
    return tuple(
        f"It moves over {say(_wide(reach))} along {axis}; the bed has {say(bed_mm)}."
        for reach, axis, bed_mm in reaches
        if _wide(reach) > bed_mm + _SLACK_MM
    )


def against_flute(tool: ToolUse, flute_mm: float, say: Say = _in_mm) -> str:
    """Whether a tool cuts deeper than its flute is long: a sentence, empty if it doesn't."""
    if tool.deepest_mm <= flute_mm + _SLACK_MM:
        return ""
    return f"It cuts {say(tool.deepest_mm)} below Z0; the flute is {say(flute_mm)} long."


def _wide(reach: Reach | None) -> float:
    return reach[1] - reach[0] if reach else 0.0
