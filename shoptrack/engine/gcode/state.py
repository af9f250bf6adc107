"""The words that set something → what holds for the lines after them."""

from dataclasses import dataclass, field
from math import nan
from typing import Literal

from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.tally import Place, Tally
from shoptrack.engine.gcode.words import Block
from shoptrack.engine.shapes.programs import Unit, Ways
from shoptrack.engine.units import MM_PER_INCH

LEAST_FEED = 1e-6
"""A feed below this, in mm a minute, is none."""

Axes = tuple[int, int, int]
# The plane's two axes, right-handed about the third: an arc by G2 goes with the clock for who looks from the
# third axis' far end. Source: NIST IR 6556, 3.5.3.
_PLANES: dict[int, Axes] = {170: (0, 1, 2), 180: (2, 0, 1), 190: (1, 2, 0)}
_INCH, _MM = (200, 700), (210, 710)
_FEEDS: dict[int, Literal["inverse", "minute", "turn"]] = {930: "inverse", 940: "minute", 950: "turn"}


@dataclass(slots=True)
class State:
    """What holds at a line: all that a program says once for the lines after it.

    ``place`` is in the program's coordinates, mm, NaN where it is not known; ``scale`` is mm a unit.
    ``feed`` is as F gave it, in mm where it is a length: mm a minute, mm a turn, or (inverse) moves a minute.
    """

    ways: Ways
    tally: Tally
    scale: float = 1.0
    units: list[Unit] = field(default_factory=list)
    unit_said: bool = False
    unit_assumed: bool = False
    feed: float = 0.0
    feed_by: Literal["inverse", "minute", "turn"] = "minute"
    rpm: float = 0.0
    spindle_on: bool = False
    spindle_ran: bool = False
    axes: Axes = (0, 1, 2)
    absolute: bool = True
    centres_absolute: bool = False
    motion: int = 0
    back_to_r: bool = False
    origin: int = 540
    next_tool: int | None = None
    tool_named: bool = False
    label: str = ""
    place: Place = (nan, nan, nan)
    shift_kept: Place = (0.0, 0.0, 0.0)
    cycle: dict[str, float] = field(default_factory=dict)
    pecks: int = 0
    known: dict[int, float] = field(default_factory=dict)
    line: int = 0
    last_comment: str = ""
    begun: bool = False
    ended: bool = False

    def doubt(self, kind: str) -> None:
        """Something on this line to look at."""
        self.tally.doubt(kind, self.line)

    def length(self, block: Block, letter: str) -> float:
        """What stands by a letter, as mm."""
        return block.values[letter] * self.scale


def beginning(ways: Ways) -> State:
    """What holds before the first line: a place that nobody knows, no feed, no motion to repeat."""
    state = State(ways, Tally(), centres_absolute=ways.arc_centres == "absolute", motion=-1)
    state.scale = _scale(ways.starts_in)
    return state


def _scale(unit: Unit) -> float:
    return float(MM_PER_INCH) if unit == "inch" else 1.0


def set_up(state: State, block: Block) -> None:
    """Take over what a line sets, all but motion, tools and stops. Raises ``Unread``.

    Method: units first, so that G20 and G21 hold for the whole line; then as NIST IR 6556, table 8.
    """
    if "units" in block.g:
        _set_units(state, block.g["units"])
    if "feed" in block.g and _FEEDS[block.g["feed"]] != state.feed_by:
        state.feed_by, state.feed = _FEEDS[block.g["feed"]], 0.0
    if "f" in block.values:
        _set_feed(state, block.values["f"])
    if "s" in block.values:
        if block.values["s"] < 0:
            raise Unread("the spindle's speed (S) is below 0.")
        state.rpm = block.values["s"]
    if "plane" in block.g:
        state.axes = _PLANES[block.g["plane"]]
    if "offset" in block.g:
        _set_origin(state, block.g["offset"])
    if "distance" in block.g:
        state.absolute = block.g["distance"] == 900
    if "centres" in block.g:
        state.centres_absolute = block.g["centres"] == 901
    if "back" in block.g:
        state.back_to_r = block.g["back"] == 990


def _set_units(state: State, code: int) -> None:
    if code >= 700 and not state.ways.g70_g71:
        raise Unread(f"G{code // 10} is not understood; a setting of the router can say that it is a unit.")
    scale = _scale("inch" if code in _INCH else "mm")
    if scale != state.scale and state.feed and state.feed_by != "inverse":
        # whether the number or the speed stays is told differently from one control to the next
        state.feed = 0.0
        state.doubt("feed dropped")
    state.scale = scale
    state.unit_said = True


def _set_feed(state: State, value: float) -> None:
    if value < 0:
        raise Unread("the feed (F) is below 0.")
    feed = value if state.feed_by == "inverse" else value * state.scale
    state.feed = feed if feed >= LEAST_FEED else 0.0


def _set_origin(state: State, code: int) -> None:
    if code != state.origin and not state.tally.moves.empty:
        state.doubt("other origin")
    state.origin = code


def note_unit(state: State) -> None:
    """A length was written, in the unit that holds."""
    unit: Unit = "mm" if state.scale == 1.0 else "inch"
    if unit not in state.units:
        state.units.append(unit)
    state.unit_assumed |= not state.unit_said
