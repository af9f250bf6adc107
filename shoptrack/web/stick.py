"""The stages of a job to a story stick: segments on lanes, and splices where parts come together.

Across is in percent of the drawing's width. A rest, in which nobody works, is drawn short whatever it lasts.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

REST_MIN = 60.0
"""A rest is drawn as long as an hour's work: room for its length to be written, no more."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A stage to be drawn on a stick: its minutes by rule of thumb and the stages it needs.

    ``rest``: nobody works in it, so its minutes say nothing of the work.
    """

    stage: int
    minutes: float
    needs: tuple[int, ...] = ()
    rest: bool = False


@dataclass(frozen=True, slots=True)
class Segment:
    """One stage on the stick: from ``x`` to ``to_x`` percent, on a lane (0 is the main stick)."""

    stage: int
    lane: int
    x: float
    to_x: float

    @property
    def width(self) -> float:
        """How long it is drawn."""
        return round(self.to_x - self.x, 2)

    @property
    def middle(self) -> float:
        """Where a pencil mark on it goes."""
        return round((self.x + self.to_x) / 2, 2)


@dataclass(frozen=True, slots=True)
class Splice:
    """Where a lane joins another: at ``x``, from ``lane`` up to ``to_lane``."""

    x: float
    lane: int
    to_lane: int


@dataclass(frozen=True, slots=True)
class Stick:
    """A job as a story stick: segments for stages, splices where parts come together."""

    segments: tuple[Segment, ...]
    splices: tuple[Splice, ...]
    lanes: int

    def of(self, stage: int) -> Segment:
        """The segment of a stage."""
        return next(s for s in self.segments if s.stage == stage)


def story_stick(cuts: Sequence[Cut]) -> Stick:
    """The stick of a job whose stages come in an order in which each follows what it needs.

    The longest chain is the main stick. Each other chain is a stick of its own that ends where it
    is spliced on. Lengths go by the square root of the minutes, so that short stages can be seen; all rests
    are as long as each other.
    """
    if not cuts:
        return Stick((), (), 0)
    drawn: dict[int, Segment] = {}
    splices = []
    spots = _placed(cuts)
    for chain in _chains(cuts):
        joins = [drawn[c.stage] for c in cuts if chain[-1] in c.needs and c.stage in drawn]
        lane = _free_lane(drawn.values(), spots[chain[0]][0], spots[chain[-1]][1])
        drawn.update({s: Segment(s, lane, *spots[s]) for s in chain})
        if joins:
            joined = min(joins, key=lambda s: s.x)
            splices.append(Splice(joined.x, lane, joined.lane))
    lanes = max(s.lane for s in drawn.values()) + 1
    return Stick(tuple(drawn[c.stage] for c in cuts), tuple(splices), lanes)


def _free_lane(drawn: Iterable[Segment], x: float, to_x: float) -> int:
    taken = {s.lane for s in drawn if s.x < to_x - 0.01 and s.to_x > x + 0.01}
    joint = {s.lane for s in drawn if abs(s.x - to_x) < 0.01 or abs(s.to_x - x) < 0.01}
    return next(lane for lane in range(len(taken | joint) + 1) if lane not in taken | joint)


def _ends(cuts: Sequence[Cut]) -> dict[int, float]:
    """How far into the job each stage ends at the earliest."""
    ends: dict[int, float] = {}
    for cut in cuts:
        ends[cut.stage] = max((ends[n] for n in cut.needs if n in ends), default=0.0) + _length(cut)
    return ends


def _length(cut: Cut) -> float:
    return sqrt(REST_MIN if cut.rest else max(cut.minutes, 4.0))


def _placed(cuts: Sequence[Cut]) -> dict[int, tuple[float, float]]:
    """Each stage as far right as what follows lets it, so that a branch ends where it is spliced on."""
    whole = max(_ends(cuts).values())
    starts: dict[int, float] = {}
    spots = {}
    for cut in reversed(cuts):
        end = min((starts[c.stage] for c in cuts if cut.stage in c.needs), default=whole)
        starts[cut.stage] = end - _length(cut)
        spots[cut.stage] = (round(starts[cut.stage] / whole * 100, 2), round(end / whole * 100, 2))
    return spots


def _chains(cuts: Sequence[Cut]) -> list[list[int]]:
    by_id: Mapping[int, Cut] = {c.stage: c for c in cuts}
    ends = _ends(cuts)
    left = dict.fromkeys(c.stage for c in cuts)
    chains = []
    while left:
        at: int | None = max(left, key=lambda s: ends[s])
        chain: list[int] = []
        while at is not None:
            chain.insert(0, at)
            del left[at]
            at = max((n for n in by_id[at].needs if n in left), key=lambda s: ends[s], default=None)
        chains.append(chain)
    return chains
