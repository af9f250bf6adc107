"""Moves one by one, or thousands at once → sums of each tool, reaches, halts, doubts."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import inf, isfinite

from shoptrack.engine.gcode.refusal import Unread
from shoptrack.engine.gcode.sketch import Drawing
from shoptrack.engine.shapes.programs import Box, Doubt, Halt, Reach, ToolUse

Place = tuple[float, float, float]
"""X, Y, Z in mm; NaN for an axis whose place is not known."""

_NO_SHIFT: Place = (0.0, 0.0, 0.0)
_MOST_TOOLS, _MOST_HALTS = 500, 10_000
_SENTENCES = {
    "no feed": "It cuts before any feed was set (F): the minutes of such cuts are not counted.",
    "rapid below": "It goes through the work at rapid speed, below Z0.",
    "spindle off": "It cuts while the spindle is off.",
    "no speed": "It cuts with no spindle speed set (S), so the feed per tooth is not known.",
    "no tool": "It cuts before any tool change (M6): such cuts are put down to tool 0.",
    "tool unnamed": "It changes tools, but no tool was named before (T): taken as tool 0.",
    "machine place": "It goes where only the machine knows (G28, G30, G53): that way is not counted.",
    "other origin": "It goes on from another origin (G54 to G59): reaches are taken as if both were one.",
    "no end": "It ends without M2 or M30.",
    "feed dropped": "It changes the unit after a feed was set: that feed no longer counts.",
}


@dataclass(slots=True)
class Sums:
    """What is added up for one tool."""

    label: str = ""
    minutes: float = 0.0
    mm: float = 0.0
    least_z: float = inf
    least_feed: float = inf
    most_feed: float = 0.0


@dataclass(slots=True)
class Span:
    """The box around places; an axis on which none is known stays the wrong way round."""

    low: list[float] = field(default_factory=lambda: [inf, inf, inf])
    high: list[float] = field(default_factory=lambda: [-inf, -inf, -inf])

    @property
    def empty(self) -> bool:
        """Whether no place on any axis is known."""
        return not any(isfinite(low) for low in self.low)

    def take(self, place: Iterable[float]) -> None:
        """Widen it to a place; NaN widens nothing."""
        low, high = self.low, self.high
        for axis, value in enumerate(place):
            if value < low[axis]:
                low[axis] = value
            if value > high[axis]:
                high[axis] = value

    def box(self) -> Box:
        """As a shape."""
        return Box(*(self._reach(axis) for axis in range(3)))

    def _reach(self, axis: int) -> Reach | None:
        return (self.low[axis], self.high[axis]) if isfinite(self.low[axis]) else None


class Tally:
    """What a program was found to do so far. ``shift`` is from its coordinates to those of its start."""

    def __init__(self) -> None:
        self.tools: dict[int, Sums] = {}
        self.tool = 0
        self.rapid_min = self.rapid_mm = self.dwell_min = self.change_min = 0.0
        self.halts: list[Halt] = []
        self.cuts, self.moves = Span(), Span()
        self.drawing = Drawing()
        self.shift: Place = _NO_SHIFT
        self._doubts: dict[str, tuple[int, int]] = {}

    def sums(self) -> Sums:
        """Those of the tool that is in."""
        if self.tool not in self.tools:
            if len(self.tools) >= _MOST_TOOLS:
                raise Unread(f"it names more than {_MOST_TOOLS} tools.")
            self.tools[self.tool] = Sums()
        return self.tools[self.tool]

    def minutes(self) -> float:
        """Minutes of the program so far."""
        return self.cutting_min() + self.rapid_min + self.dwell_min + self.change_min

    def cutting_min(self) -> float:
        """Minutes at feed so far, of all tools."""
        return sum(each.minutes for each in self.tools.values())

    def halt(self, halt: Halt) -> None:
        """The program waits."""
        if len(self.halts) >= _MOST_HALTS:
            raise Unread(f"it stops more than {_MOST_HALTS:,} times.")
        before = replace(
            halt, cutting_min=self.cutting_min(), rapid_mm=self.rapid_mm, dwell_min=self.dwell_min
        )
        self.halts.append(before)

    def doubt(self, kind: str, line: int, times: int = 1) -> None:
        """Something to look at; of each kind the first line is kept."""
        first, before = self._doubts.get(kind, (line, 0))
        self._doubts[kind] = first, before + times

    def doubts(self) -> tuple[Doubt, ...]:
        """All of them, by line."""
        found = (Doubt(line, times, _SENTENCES[kind]) for kind, (line, times) in self._doubts.items())
        return tuple(sorted(found, key=lambda doubt: doubt.line))

    def rapid(self, start: Place, end: Place, mm: float, minutes: float) -> None:
        """One straight move at rapid speed."""
        self.rapid_mm += mm
        self.rapid_min += minutes
        self._go((start, end), rapid=True)

    def cut(
        self, way: Sequence[Place], turns: Sequence[Place], mm: float, minutes: float, feed: float
    ) -> None:
        """One move at feed along ``way``, reaching to ``turns`` too."""
        sums = self.sums()
        sums.mm += mm
        sums.minutes += minutes
        if feed > 0:
            sums.least_feed = min(sums.least_feed, feed)
            sums.most_feed = max(sums.most_feed, feed)
        for place in (way[0], way[-1], *turns):
            self.cuts.take(self.shifted(place))
            if place[2] < sums.least_z:
                sums.least_z = place[2]
        self._go(way, rapid=False, turns=turns)

    def shifted(self, place: Place) -> Place:
        """A place in the coordinates of the program's start."""
        if self.shift is _NO_SHIFT:
            return place
        x, y, z = self.shift
        return place[0] + x, place[1] + y, place[2] + z

    def uses(self) -> tuple[ToolUse, ...]:
        """The tools in the order in which they came."""
        return tuple(
            ToolUse(
                number=number,
                label=each.label,
                cutting_min=each.minutes,
                cutting_mm=each.mm,
                least_z_mm=each.least_z if isfinite(each.least_z) else None,
                least_feed_mm_min=each.least_feed if isfinite(each.least_feed) else None,
                most_feed_mm_min=each.most_feed or None,
            )
            for number, each in self.tools.items()
        )

    def _go(self, way: Sequence[Place], *, rapid: bool, turns: Sequence[Place] = ()) -> None:
        if self.shift is not _NO_SHIFT:
            way, turns = [self.shifted(place) for place in way], [self.shifted(turn) for turn in turns]
        self.moves.take(way[0])
        self.moves.take(way[-1])
        for turn in turns:
            self.moves.take(turn)
        for (x0, y0, _), (x1, y1, _) in pairwise(way):
            if isfinite(x0 + y0 + x1 + y1):
                self.drawing.add(self.tool, rapid, x0, y0, x1, y1)
