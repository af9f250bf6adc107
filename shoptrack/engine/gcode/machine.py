"""The lines of a program, one after the other → what holds, and what was done so far."""

from math import nan

from shoptrack.engine.gcode import moves
from shoptrack.engine.gcode.cycles import dwell, run_cycle
from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.state import State, set_up
from shoptrack.engine.gcode.words import Block, read_words
from shoptrack.engine.shapes.programs import Halt

_RAPID, _CUT, _CLOCKWISE, _COUNTER, _NO_MOTION = 0, 10, 20, 30, 800
_HOME, _MACHINE_PLACE, _SHIFT = (280, 300), 530, 920
_NO_SHIFT, _SHIFT_BACK = (921, 922), 923
_END = (2, 30)
_MARK = b"%"
_CYCLE_LETTERS = "rlpqijk"


def obey(state: State, line: bytes) -> None:
    """Do what one line says.

    Takes the line without its end; ``state`` goes on from it. Raises ``Unread``.
    Method: the order of NIST IR 6556, table 8, but that units hold for the whole line: what is set, the tool,
    the spindle, a dwell, places of the machine or a shift, the move, the stop.
    """
    state.line += 1
    stripped = line.strip()
    if stripped == _MARK:
        # the first one may open the program; any other ends it
        state.ended, state.begun = state.begun, True
        return
    if not stripped:
        return
    block = read_words(line, state.known, state.ways.skips_slashed)
    if block.empty:
        state.last_comment = block.comment
        return
    state.begun = True
    set_up(state, block)
    _take_tool(state, block)
    _turn_spindle(state, block)
    _move(state, block)
    _stop(state, block)
    state.last_comment = ""


def _take_tool(state: State, block: Block) -> None:
    label = block.comment or state.last_comment
    if "t" in block.values:
        tool = block.values["t"]
        if tool < 0 or tool != int(tool):
            raise Unread("a tool's number (T) is no whole number of 0 or more.")
        state.next_tool, state.label = int(tool), label
    if "change" not in block.m:
        return
    # a change stops the spindle. Source: NIST IR 6556, 3.6.3; from memory
    state.spindle_on = False
    if state.next_tool is None:
        state.doubt("tool unnamed")
    wanted = state.next_tool or 0
    if not state.tool_named or wanted != state.tally.tool:
        _change(state, wanted)
    sums = state.tally.sums()
    sums.label = sums.label or label or state.label


def _change(state: State, wanted: int) -> None:
    tally, ways = state.tally, state.ways
    tally.halt(Halt("tool change", state.line, tally.minutes(), wanted, hands=not ways.changes_alone))
    tally.change_min += ways.tool_change_s / 60.0
    tally.tool, state.tool_named = wanted, True


def _turn_spindle(state: State, block: Block) -> None:
    if "spindle" in block.m:
        state.spindle_on = block.m["spindle"] != 5
        state.spindle_ran |= state.spindle_on


def _move(state: State, block: Block) -> None:
    once = block.g.get("once")
    motion = block.g.get("motion", state.motion)
    _check_letters(block, motion, once)
    if once == 40:
        if "p" not in block.values:
            raise Unread("G4 lacks the time to wait (P).")
        dwell(state, block.values["p"])
    if once in _HOME or once in (_SHIFT, *_NO_SHIFT, _SHIFT_BACK):
        if "motion" in block.g and block.axes():
            raise Unread("two codes on it want X, Y or Z.")
        _once(state, block, once)
        state.motion = motion
        return
    if once == _MACHINE_PLACE:
        _to_machine_place(state, block, motion)
    elif block.axes() or _is_round(block, motion):
        _go(state, block, motion)
    elif block.g.get("motion", _RAPID) >= 810:
        raise Unread("a drilling cycle names no place.")
    state.motion = motion


def _is_round(block: Block, motion: int) -> bool:
    """A full circle may leave X and Y out."""
    return motion in (_CLOCKWISE, _COUNTER) and any(letter in block.values for letter in "ijkr")


def _go(state: State, block: Block, motion: int) -> None:
    if motion in (-1, _NO_MOTION):
        raise Unread("it names a place, but no motion (G0 to G3, G81 to G89) is in force.")
    if motion >= 810:
        run_cycle(state, block, motion)
        return
    if motion == _RAPID:
        moves.rapid(state, moves.target(state, block))
        return
    feed = _inverse_feed(state, block)
    if motion == _CUT:
        moves.cut(state, moves.target(state, block), feed)
    else:
        moves.cut_arc(state, block, motion == _CLOCKWISE, feed)


def _inverse_feed(state: State, block: Block) -> float | None:
    """The moves a minute, where that is what F says; each line has its own. Source: NIST IR 6556, 3.5.19."""
    if state.feed_by != "inverse":
        return None
    if "f" not in block.values or not state.feed:
        raise Unread("by inverse time (G93) each cut needs its own F above 0.")
    return state.feed


def _once(state: State, block: Block, once: int | None) -> None:
    if once in _HOME:
        if block.axes():
            moves.rapid(state, moves.target(state, block))
        _lose(state, moves.AXES)
        return
    tally = state.tally
    if once == _SHIFT:
        if not block.axes():
            raise Unread("G92 names no place.")
        _shift(state, block)
        return
    kept = state.shift_kept if once == _SHIFT_BACK else (0.0, 0.0, 0.0)
    if once == 921:
        state.shift_kept = kept
    x, y, z = tally.shifted(state.place)
    state.place = x - kept[0], y - kept[1], z - kept[2]
    tally.shift = kept


def _shift(state: State, block: Block) -> None:
    """G92: the tool stands still, and its place is called what the line says."""
    tally = state.tally
    place, shift = list(state.place), list(tally.shift)
    for axis, letter in enumerate(moves.AXES):
        if letter in block.values:
            value = state.length(block, letter)
            # where nothing was known the program begins here
            shift[axis] += 0.0 if place[axis] != place[axis] else place[axis] - value
            place[axis] = value
    state.place = place[0], place[1], place[2]
    tally.shift = state.shift_kept = (shift[0], shift[1], shift[2])


def _to_machine_place(state: State, block: Block, motion: int) -> None:
    if motion != _RAPID:
        raise Unread("G53 is followed here with G0 alone: where a cut would go only the machine knows.")
    _lose(state, [letter for letter in moves.AXES if letter in block.values])


def _lose(state: State, letters: str | list[str]) -> None:
    """The tool goes where only the machine knows, on these axes."""
    x, y, z = (nan if axis in letters else here for axis, here in zip(moves.AXES, state.place, strict=True))
    state.place = x, y, z
    state.doubt("machine place")


def _check_letters(block: Block, motion: int, once: int | None) -> None:
    """Refuse a letter that nothing on the line asks for."""
    wanted = "fstxyz"
    if motion >= 810:
        wanted += _CYCLE_LETTERS
    elif motion in (_CLOCKWISE, _COUNTER):
        wanted += "ijkr"
    wanted += "p" if once == 40 or block.g.get("path") == 640 else ""
    wanted += "h" if block.g.get("length") == 430 else ""
    for letter in block.values:
        if letter not in wanted:
            raise Unread(f"nothing on it asks for {letter.upper()}.")


def _stop(state: State, block: Block) -> None:
    stop = block.m.get("stop")
    if stop in _END:
        state.ended = True
    elif stop is not None:
        tally = state.tally
        tally.halt(Halt("stop", state.line, tally.minutes(), tally.tool, hands=True))
