"""What a router takes for granted in a program, and what a program does; millimetres and minutes."""

from dataclasses import dataclass
from typing import Literal

Unit = Literal["mm", "inch"]
Reach = tuple[float, float]
"""The least and the most on one axis, in mm."""


@dataclass(frozen=True, slots=True)
class Ways:
    """How one router takes what the words of a program leave open.

    ``dwell`` is the unit of P in G4 and in drilling cycles. ``starts_in`` holds until G20 or G21 comes;
    ``g70_g71``: these two are taken as inch and millimetre too. ``arc_centres`` is how I, J, K are
    taken until G90.1 or G91.1 comes: from the arc's start, or as places. An arc whose two radii differ by
    more than ``arc_slack_mm`` is refused. ``changes_alone``: a tool change needs nobody. ``skips_slashed``:
    lines that begin with / are left out.
    """

    rapid_mm_min: float
    tool_change_s: float = 0.0
    dwell: Literal["seconds", "milliseconds"] = "seconds"
    starts_in: Unit = "mm"
    g70_g71: bool = False
    arc_centres: Literal["incremental", "absolute"] = "incremental"
    arc_slack_mm: float = 0.05
    changes_alone: bool = False
    skips_slashed: bool = False


@dataclass(frozen=True, slots=True)
class ToolUse:
    """What one tool does. Number 0 stands for cuts before any tool change.

    ``least_z_mm`` is the lowest Z of its cuts, as the program counts at that place; None where no cut had a
    known Z. The feeds are those of its cuts; None where none was set.
    """

    number: int
    label: str
    cutting_min: float
    cutting_mm: float
    least_z_mm: float | None
    least_feed_mm_min: float | None
    most_feed_mm_min: float | None

    @property
    def deepest_mm(self) -> float:
        """How far below Z0 of the work it cuts; 0 where it stays above."""
        return max(-(self.least_z_mm or 0.0), 0.0)


@dataclass(frozen=True, slots=True)
class Box:
    """How far something reaches on each axis, in the coordinates that held at the program's start.

    None for an axis on which no place is known.
    """

    x_mm: Reach | None
    y_mm: Reach | None
    z_mm: Reach | None


@dataclass(frozen=True, slots=True)
class Halt:
    """The program waits at ``at_min`` of its own minutes; ``hands`` says whether somebody has to come.

    ``cutting_min``, ``rapid_mm`` and ``dwell_min`` came before it, so that other rates can be reckoned with.
    """

    kind: Literal["tool change", "stop"]
    line: int
    at_min: float
    tool: int
    hands: bool
    cutting_min: float = 0.0
    rapid_mm: float = 0.0
    dwell_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that may be meant but should be looked at: its first line, and how many times it is so."""

    line: int
    times: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight piece of the path as seen from above; a plunge or a hole is one of no length."""

    tool: int
    rapid: bool
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float


@dataclass(frozen=True, slots=True)
class Program:
    """What a program does, by its own words. The minutes are a lower bound: getting up to speed is ignored.

    ``strokes`` are the path thinned, cuts before rapids: no place of a cut lies farther than
    ``strokes_within_mm`` from them.
    ``units`` are those that lengths were written in, in the order they came; ``unit_assumed``: before it said
    any, the one that the router starts in was taken.
    """

    tools: tuple[ToolUse, ...]
    rapid_min: float
    rapid_mm: float
    dwell_min: float
    change_min: float
    halts: tuple[Halt, ...]
    spindle_ran: bool
    cuts: Box
    moves: Box
    units: tuple[Unit, ...]
    lines: int
    size_bytes: int
    doubts: tuple[Doubt, ...]
    strokes: tuple[Stroke, ...]
    strokes_within_mm: float
    unit_assumed: bool = False

    @property
    def cutting_min(self) -> float:
        """Minutes at feed, of all tools."""
        return sum(tool.cutting_min for tool in self.tools)

    @property
    def cutting_mm(self) -> float:
        """Distance at feed, of all tools."""
        return sum(tool.cutting_mm for tool in self.tools)

    @property
    def total_min(self) -> float:
        """All minutes, without what it takes a person to come."""
        return self.cutting_min + self.rapid_min + self.dwell_min + self.change_min

    @property
    def tool_changes(self) -> int:
        """How often another tool is put in, the first included."""
        return sum(halt.kind == "tool change" for halt in self.halts)

    @property
    def hands_at_min(self) -> tuple[float, ...]:
        """The program minutes at which somebody has to come."""
        return tuple(halt.at_min for halt in self.halts if halt.hands)


@dataclass(frozen=True, slots=True)
class Factor:
    """A router's minutes over those of its programs: 1 run in 10 stays under ``p10``, half under ``p50``.

    ``runs`` is how many logged ones it rests on; with none it is a starting value.
    """

    p10: float
    p50: float
    p90: float
    runs: int
