"""The words of a move → the way it goes, its length and its minutes."""

from math import hypot, isnan, sqrt

from shoptrack.engine.gcode.arcs import Arc, Flat, by_centre, by_radius
from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.state import LEAST_FEED, State, note_unit
from shoptrack.engine.gcode.tally import Place
from shoptrack.engine.gcode.words import Block

AXES = "xyz"
OFFSETS = "ijk"
_BELOW_MM = 1e-6


def target(state: State, block: Block) -> Place:
    """The place a line names: as it stands, or from where the tool is (G91)."""
    note_unit(state)
    x, y, z = (_on_axis(state, block, axis) for axis in range(3))
    return x, y, z


def _on_axis(state: State, block: Block, axis: int) -> float:
    here = state.place[axis]
    if AXES[axis] not in block.values:
        return here
    value = state.length(block, AXES[axis])
    # a program that only goes from place to place begins at its own nought
    return value if state.absolute else value + (0.0 if isnan(here) else here)


def rapid(state: State, end: Place, *, watched: bool = True) -> None:
    """Go at rapid speed, straight; ``watched`` doubts a way through the work."""
    start, state.place = _started(state, end), end
    mm = _apart(start, end)
    if watched and _through_work(start, end):
        state.doubt("rapid below")
    state.tally.rapid(start, end, mm, mm / state.ways.rapid_mm_min)


def cut(state: State, end: Place, feed: float | None = None) -> None:
    """Go at feed, straight."""
    start, state.place = _started(state, end), end
    _feed_along(state, [start, end], (), _apart(start, end), feed)


def cut_arc(state: State, block: Block, clockwise: bool, feed: float | None = None) -> None:
    """Go along an arc or a helix. Raises ``Unread`` where its words name none."""
    end = target(state, block)
    a, b, c = state.axes
    begin = state.place
    start: Flat = (begin[a], begin[b])
    if isnan(start[0]) or isnan(start[1]):
        raise Unread("an arc begins at a place that the program hasn't named.")
    rise = end[c] - begin[c]
    arc = _arc(state, block, start, (end[a], end[b]), clockwise, 0.0 if isnan(rise) else rise)
    chords = arc.chords(state.tally.drawing.grid_mm)
    way = [begin, *(_placed(state, arc.at(n / chords), begin[c]) for n in range(1, chords)), end]
    turns = [_placed(state, turn, begin[c]) for turn in arc.quarters()]
    state.place = end
    _feed_along(state, way, turns, arc.length_mm, feed)


def feed_of_turns(state: State) -> float:
    """The feed in mm a minute, whether F is a minute's or a turn's; 0 where none was set."""
    if state.feed_by == "turn":
        if state.feed and not state.rpm:
            raise Unread("the feed is one of each turn (G95), but no spindle speed was set (S).")
        return state.feed * state.rpm
    return state.feed


def _feed_along(
    state: State, way: list[Place], turns: list[Place] | tuple[()], mm: float, feed: float | None
) -> None:
    speed = feed_of_turns(state) if feed is None else feed * mm
    # by inverse time a move without length lasts as long as it says
    minutes = 1 / feed if feed else (mm / speed if speed >= LEAST_FEED else 0.0)
    if not speed and mm:
        state.doubt("no feed")
    doubt_the_cut(state, state.line, 1)
    state.tally.cut(way, turns, mm, minutes, speed)


def doubt_the_cut(state: State, line: int, times: int) -> None:
    """What may be wrong with cuts whatever their way."""
    if not state.spindle_on:
        state.tally.doubt("spindle off", line, times)
    if not state.rpm:
        state.tally.doubt("no speed", line, times)
    if not state.tally.tool and not state.tool_named:
        state.tally.doubt("no tool", line, times)


def _arc(state: State, block: Block, start: Flat, end: Flat, clockwise: bool, rise: float) -> Arc:
    a, b, c = state.axes
    slack = state.ways.arc_slack_mm
    if OFFSETS[c] in block.values:
        raise Unread(f"{OFFSETS[c].upper()} is no centre of an arc on this plane.")
    offsets = [OFFSETS[a] in block.values, OFFSETS[b] in block.values]
    if "r" in block.values:
        if any(offsets):
            raise Unread("an arc has a radius (R) and a centre (I, J, K).")
        return by_radius(start, end, state.length(block, "r"), clockwise, rise, slack)
    if not any(offsets) or (state.centres_absolute and not all(offsets)):
        raise Unread("an arc has no radius (R) and no whole centre (I, J, K).")
    centre = _centre(state, block, start)
    return by_centre(start, end, centre, clockwise, rise, slack)


def _centre(state: State, block: Block, start: Flat) -> Flat:
    a, b, _ = state.axes
    first = state.length(block, OFFSETS[a]) if OFFSETS[a] in block.values else 0.0
    second = state.length(block, OFFSETS[b]) if OFFSETS[b] in block.values else 0.0
    return (first, second) if state.centres_absolute else (start[0] + first, start[1] + second)


def _placed(state: State, flat: Flat, height: float) -> Place:
    a, b, c = state.axes
    place = [0.0, 0.0, 0.0]
    place[a], place[b], place[c] = flat[0], flat[1], height
    return place[0], place[1], place[2]


def _started(state: State, end: Place) -> Place:
    """Where the tool is; on an axis that is named for the first time it is taken to stand there already."""
    x, y, z = state.place
    if x == x and y == y and z == z:
        return state.place
    return (end[0] if x != x else x, end[1] if y != y else y, end[2] if z != z else z)


def _apart(start: Place, end: Place) -> float:
    """The straight way in space; an axis on which nothing is known adds nothing."""
    x, y, z = end[0] - start[0], end[1] - start[1], end[2] - start[2]
    if x == x and y == y and z == z:
        return sqrt(x * x + y * y + z * z)
    return hypot(*(way for way in (x, y, z) if way == way))


def _through_work(start: Place, end: Place) -> bool:
    """Below Z0 and either sideways or down; where nothing is known nothing is through."""
    sideways = abs(start[0] - end[0]) > 0 or abs(start[1] - end[1]) > 0
    return (sideways and min(start[2], end[2]) < -_BELOW_MM) or end[2] < min(start[2], -_BELOW_MM)
