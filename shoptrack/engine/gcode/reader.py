"""The bytes of a program, in any pieces → what it does."""

from collections.abc import Callable, Iterable

from shoptrack.engine.gcode.lines import blocks
from shoptrack.engine.gcode.machine import obey
from shoptrack.engine.gcode.plain import FEWEST, obey_run, run_end
from shoptrack.engine.gcode.refusal import BadProgram, Unread
from shoptrack.engine.gcode.state import State, beginning
from shoptrack.engine.gcode.words import LONGEST
from shoptrack.engine.shapes.programs import Program, Ways


def read_program(
    pieces: Iterable[bytes], ways: Ways, progress: Callable[[int], None] | None = None
) -> Program:
    """Read a machine program (RS274/NGC and its family, ISO 6983-1) and say what it does.

    Takes its bytes in pieces of any size, and how the router takes what its words leave open; ``progress`` is
    told the bytes read so far. Gives sums of each tool, reaches, halts and doubts, in mm and minutes.
    Empty: a program that does nothing. Raises ``BadProgram`` for the first line that is not understood.
    Method: a line at a time, but for runs of plain lines (G0 to G3), which are read thousands at once; memory
    stays the same however long it is. Time is way over feed along the path, and way over the router's rapid
    speed; getting up to speed is ignored, so it is a lower bound. Where the tool stands before the program
    first names a place is not known, and the way there is not counted.
    Source: NIST IR 6556 (2000), sections 3.3 to 3.8.
    """
    state = beginning(ways)
    begun, size = 0, 0
    try:
        for block in blocks(pieces):
            _read_block(state, block.text)
            begun, size = begun + block.text.count(b"\n"), block.read
            if block.cut:
                state.line = begun + 1
                raise Unread(f"it is longer than {LONGEST:,} signs.")
            if progress:
                progress(block.read)
    except Unread as why:
        raise BadProgram(state.line, str(why)) from why
    if not state.ended:
        state.tally.doubt("no end", begun)
    return _program(state, begun, size)


def _read_block(state: State, text: bytes) -> None:
    at = 0
    while at < len(text) and not state.ended:
        end = run_end(state, text, at)
        if end == at:
            end = text.index(b"\n", at) + 1
        count = text.count(b"\n", at, end)
        if count < FEWEST or not obey_run(state, text[at:end], count):
            _read_each(state, text[at:end])
        at = end


def _read_each(state: State, text: bytes) -> None:
    for line in text.split(b"\n")[:-1]:
        obey(state, line)


def _program(state: State, lines: int, size: int) -> Program:
    tally = state.tally
    return Program(
        tools=tally.uses(),
        rapid_min=tally.rapid_min,
        rapid_mm=tally.rapid_mm,
        dwell_min=tally.dwell_min,
        change_min=tally.change_min,
        halts=tuple(tally.halts),
        spindle_ran=state.spindle_ran,
        cuts=tally.cuts.box(),
        moves=tally.moves.box(),
        units=tuple(state.units),
        unit_assumed=state.unit_assumed,
        lines=lines,
        size_bytes=size,
        doubts=tally.doubts(),
        strokes=tally.drawing.strokes(),
        strokes_within_mm=tally.drawing.within_mm,
    )
