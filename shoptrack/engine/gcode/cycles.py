"""A line of a drilling cycle → its holes, each as the moves it is made of."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from shoptrack.engine.gcode import moves
from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.state import State, note_unit
from shoptrack.engine.gcode.tally import Place
from shoptrack.engine.gcode.words import Block
from shoptrack.engine.shapes.programs import Halt

_MOST_PECKS = 200_000
_AWAY_MM = 0.254
"""How far above the last peck's end the next begins to feed: 0.010 in, as in NIST's reader; from memory."""
_DWELLS, _PECKS = (820, 860, 880, 890), 830
_BACK_BORING = 870


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole: where on the plane, the heights on the third axis, the seconds or pecks of its cycle."""

    state: State
    across: float
    up: float
    r: float
    bottom: float
    clear: float
    dwell: float = 0.0
    peck: float = 0.0
    aside: tuple[float, float] = (0.0, 0.0)
    top: float = 0.0

    def feed_to(self, height: float) -> None:
        """Along the third axis at feed."""
        moves.cut(self.state, self._place(self.across, self.up, height))

    def rapid_to(self, height: float) -> None:
        """Along the third axis at rapid speed; within the hole that is meant."""
        place = list(self.state.place)
        place[self.state.axes[2]] = height
        moves.rapid(self.state, (place[0], place[1], place[2]), watched=False)

    def rapid_beside(self, across: float = 0.0, up: float = 0.0) -> None:
        """To the hole on the plane, or beside it, at rapid speed and the height that is."""
        height = self.state.place[self.state.axes[2]]
        moves.rapid(self.state, self._place(self.across + across, self.up + up, height), watched=False)

    def wait(self) -> None:
        """Dwell."""
        dwell(self.state, self.dwell)

    def _place(self, across: float, up: float, height: float) -> Place:
        a, b, c = self.state.axes
        place = [0.0, 0.0, 0.0]
        place[a], place[b], place[c] = across, up, height
        return place[0], place[1], place[2]


def dwell(state: State, p: float) -> None:
    """Wait for P, in the unit of the router."""
    if p < 0:
        raise Unread("the time to wait (P) is below 0.")
    state.tally.dwell_min += p / (60.0 if state.ways.dwell == "seconds" else 60_000.0)


def run_cycle(state: State, block: Block, code: int) -> None:
    """Make the holes of a line.

    Takes a line that names a place while G81 to G89 hold. What it leaves out of R, the depth, P, Q, I, J, K
    is that of the line before, as long as the cycle is the same. Raises ``Unread``.
    Method: to R at rapid speed, if the tool is below it; then for each of L holes sideways, down to R, the
    hole, and back to R (G99) or to the height before (G98), whichever is higher.
    Source: NIST IR 6556, 3.5.16 and 3.5.20.
    """
    if state.feed_by == "inverse":
        raise Unread("a drilling cycle can't go by inverse time (G93).")
    note_unit(state)
    _remember(state, block, code)
    times = _times(block)
    hole = _first_hole(state, block, code)
    a, b, _ = state.axes
    along, up = (0.0, 0.0) if state.absolute else _named(state, block, a, b)
    _count(state, hole, times)
    for turn in range(times):
        _make(
            state,
            replace(hole, across=hole.across + turn * along, up=hole.up + turn * up) if turn else hole,
            code,
        )


def _remember(state: State, block: Block, code: int) -> None:
    if state.motion != code:
        state.cycle = {}
    height = moves.AXES[state.axes[2]]
    for letter in (height, "r", "q", "i", "j", "k"):
        if letter in block.values:
            state.cycle[letter] = state.length(block, letter)
    if "p" in block.values:
        state.cycle["p"] = block.values["p"]
    needs = [height, "r"]
    needs += ["p"] * (code in _DWELLS) + ["q"] * (code == _PECKS) + ["i", "j", "k"] * (code == _BACK_BORING)
    lacks = [letter.upper() for letter in needs if letter not in state.cycle]
    if lacks:
        raise Unread(f"the drilling cycle lacks {' and '.join(lacks)}.")
    if code == _PECKS and state.cycle["q"] <= 0:
        raise Unread("the depth of a peck (Q) is not above 0.")
    if code == _BACK_BORING and state.axes != (0, 1, 2):
        raise Unread("back boring (G87) is followed here on the plane of X and Y alone.")


def _times(block: Block) -> int:
    times = block.values.get("l", 1.0)
    if times < 1 or times != int(times):
        raise Unread("how many holes there are (L) is no whole number of 1 or more.")
    return int(times)


def _named(state: State, block: Block, a: int, b: int) -> tuple[float, float]:
    """The steps on the plane that the line names, 0 where it names none."""
    letters = moves.AXES[a], moves.AXES[b]
    across, up = (state.length(block, each) if each in block.values else 0.0 for each in letters)
    return across, up


def _first_hole(state: State, block: Block, code: int) -> Hole:
    a, b, c = state.axes
    place, said = moves.target(state, block), state.cycle
    old = state.place[c]
    if not (old == old and place[a] == place[a] and place[b] == place[b]):
        raise Unread("a drilling cycle begins at a place that the program hasn't named.")
    depth = said[moves.AXES[c]]
    r = said["r"] if state.absolute else old + said["r"]
    bottom = depth if state.absolute else r + depth
    if r < bottom:
        raise Unread("R of the drilling cycle lies below its depth.")
    if old < r:
        start = list(state.place)
        start[c] = r
        moves.rapid(state, (start[0], start[1], start[2]), watched=False)
    top = said.get("k", 0.0) + (0.0 if state.absolute else bottom)
    return Hole(
        state=state,
        across=place[a],
        up=place[b],
        r=r,
        bottom=bottom,
        clear=r if state.back_to_r else max(old, r),
        dwell=said.get("p", 0.0),
        peck=said["q"] if code == _PECKS else 0.0,
        aside=(said.get("i", 0.0), said.get("j", 0.0)),
        top=top,
    )


def _count(state: State, hole: Hole, times: int) -> None:
    """Holes and pecks that have no line of their own: a short program must not take for ever."""
    pecks = min((hole.r - hole.bottom) / hole.peck, 2.0 * _MOST_PECKS) if hole.peck else 0.0
    state.pecks += (1 + int(pecks)) * times - 1
    if state.pecks > _MOST_PECKS:
        raise Unread(f"the program repeats more than {_MOST_PECKS:,} holes and pecks.")


def _make(state: State, hole: Hole, code: int) -> None:
    if code == _BACK_BORING:
        _bore_back(hole)
        return
    hole.rapid_beside()
    if state.place[state.axes[2]] != hole.r:
        hole.rapid_to(hole.r)
    _CYCLES[code](hole)


def _drill(hole: Hole) -> None:
    hole.feed_to(hole.bottom)
    hole.rapid_to(hole.clear)


def _drill_and_wait(hole: Hole) -> None:
    """G82, and G86, in which the spindle stops before it is drawn back."""
    hole.feed_to(hole.bottom)
    hole.wait()
    hole.rapid_to(hole.clear)


def _peck(hole: Hole) -> None:
    depth = hole.r - hole.peck
    while depth > hole.bottom:
        hole.feed_to(depth)
        hole.rapid_to(hole.clear)
        hole.rapid_to(min(depth + _AWAY_MM, hole.clear))
        depth -= hole.peck
    hole.feed_to(hole.bottom)
    hole.rapid_to(hole.clear)


def _in_and_out(hole: Hole) -> None:
    """G84, where the spindle turns back at the bottom, and G85."""
    hole.feed_to(hole.bottom)
    hole.feed_to(hole.clear)


def _wait_and_out(hole: Hole) -> None:
    hole.feed_to(hole.bottom)
    hole.wait()
    hole.feed_to(hole.clear)


def _drawn_back_by_hand(hole: Hole) -> None:
    """G88: the spindle stops, and somebody draws it back."""
    hole.feed_to(hole.bottom)
    hole.wait()
    state = hole.state
    tally = state.tally
    tally.halt(Halt("stop", state.line, tally.minutes(), tally.tool, hands=True))
    place = list(state.place)
    place[state.axes[2]] = hole.clear
    state.place = place[0], place[1], place[2]


def _bore_back(hole: Hole) -> None:
    """G87: beside the hole down, below it in, up at feed to K and back, out again.

    Source: NIST IR 6556, 3.5.16.8; the order of its moves from memory.
    """
    hole.rapid_beside(*hole.aside)
    hole.rapid_to(hole.bottom)
    hole.rapid_beside()
    hole.feed_to(hole.top)
    hole.feed_to(hole.bottom)
    hole.rapid_beside(*hole.aside)
    hole.rapid_to(hole.clear)
    hole.rapid_beside()


_CYCLES: dict[int, Callable[[Hole], None]] = {
    810: _drill,
    820: _drill_and_wait,
    830: _peck,
    840: _in_and_out,
    850: _in_and_out,
    860: _drill_and_wait,
    880: _drawn_back_by_hand,
    890: _wait_and_out,
}
