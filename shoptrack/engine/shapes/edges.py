"""Edges and what happened to them: what is known of each, its lives in effective hours, where it is now."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, get_args

Did = Literal[
    "fitted",
    "taken off",
    "found dull",
    "cleaned",
    "rough only",
    "sharpened",
    "turned",
    "replaced",
    "broken",
    "sent",
    "back",
    "worn out",
    "meter",
]
"""What can be said of an edge. A meter is the tool's own hour meter as it was read."""
DEEDS: tuple[Did, ...] = get_args(Did)
DULL = frozenset[Did]({"found dull", "rough only"})
"""What ends a life that was seen to its end."""

Where = Literal["fitted", "spare", "away", "broken", "worn out"]
Renewed = Literal["sent", "here", "turned", "replaced"]
"""How an edge is made sharp again: sent out, sharpened here, turned to its next corner, a new one put in."""


@dataclass(frozen=True, slots=True)
class EdgeKind:
    """What edges of a kind are like: how long they usually last, and how they are made sharp again.

    ``usual_life_h`` are effective hours. ``away_days`` are working days at the sharpener. ``renew_cents`` is
    what making it sharp costs when it was planned, ``dull_cents`` what it costs in all when a spoiled piece
    tells of it. ``starting``: nobody in the shop has said so yet.
    """

    id: int
    name: str
    usual_life_h: float
    renewed: Renewed = "sent"
    away_days: int = 0
    renew_cents: int = 0
    dull_cents: int = 0
    most_renewals: int | None = None
    starting: bool = False


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of a tool: a blade, a bit, a set of knives. A tool has one on it and perhaps spares."""

    id: int
    tool: int
    name: str


@dataclass(frozen=True, slots=True)
class Deed:
    """What somebody did to an edge or found of it, by the entry of the log that says so.

    ``edge`` None: the one that was on the tool then. ``minutes`` is a meter's reading, ``back_on`` when the
    sharpener is to give it back.
    """

    entry: str
    at: datetime
    did: Did
    tool: int
    edge: int | None = None
    person: int | None = None
    minutes: float | None = None
    cents: int | None = None
    back_on: date | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class Cut:
    """A stretch in which a tool was at work on a stage.

    ``run_min`` is the tool's share of its minutes, ``wear`` how hard the material is on an edge.
    """

    tool: int
    stage: int
    start: datetime
    end: datetime
    run_min: float
    wear: float = 1.0

    @property
    def effective_h(self) -> float:
        """What it took of the edge, in hours of the shop's usual wood."""
        return self.run_min * self.wear / 60.0


@dataclass(frozen=True, slots=True)
class EdgeLife:
    """An edge between two times that it was made sharp; ``until_at`` None: it goes on.

    ``dull``: it ended because it was found dull, else nobody knows how long it would have lasted.
    """

    edge: int
    from_at: datetime | None
    until_at: datetime | None
    run_h: float
    effective_h: float
    dull: bool
    ended: Did | None


@dataclass(frozen=True, slots=True)
class EdgeStands:
    """Where an edge is, and what it has run since it was last made sharp.

    ``dull``: it was found dull and nothing was done about it yet. ``rough_only``: dull for show cuts, still
    good for roughing. ``renewals`` counts how often it was made sharp. ``lives`` are in order; the last goes
    on, unless it was found dull, broken or worn out since it began.
    """

    edge: Edge
    where: Where
    since: datetime | None
    run_h: float
    effective_h: float
    dull: bool = False
    rough_only: bool = False
    renewals: int = 0
    back_on: date | None = None
    lives: tuple[EdgeLife, ...] = ()

    @property
    def usable(self) -> bool:
        """Whether it may cut: in the shop, whole, and not found dull (roughing aside)."""
        return self.where in ("fitted", "spare") and (not self.dull or self.rough_only)


@dataclass(frozen=True, slots=True)
class ToolStands:
    """A tool with the edge that is on it (None: none is) and its edges. ``past`` are those that were retired.

    ``meter_scale`` is what the tool's own meter ran for each logged hour, by its last two readings.
    """

    tool: int
    fitted: EdgeStands | None
    edges: tuple[EdgeStands, ...]
    meter_scale: float = 1.0
    past: tuple[EdgeStands, ...] = ()

    @property
    def lives(self) -> tuple[EdgeLife, ...]:
        """The lives of all its edges, edge by edge, retired ones too."""
        return tuple(life for one in (*self.edges, *self.past) for life in one.lives)


@dataclass(frozen=True, slots=True)
class Rack:
    """All tools with their edges as they stand at an instant; deeds that say what can't be, by entry id."""

    now: datetime
    tools: Mapping[int, ToolStands]
    odd: Mapping[str, str]
