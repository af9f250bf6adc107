"""The stages of a pattern to a drawing of their order: segments on lanes, splices, ties across lanes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shoptrack.store.pattern_things import Things
from shoptrack.store.patterns import PatternStage
from shoptrack.web.stick import Cut, Segment, Splice, story_stick

LANE = 46  # from one lane to the next
DEEP = 26  # a lane's own height
HEAD = 14
LETTER = 0.95  # width of a letter on a drawing 760 px wide, in percent
ROUND_A_NAME = 5.0  # what a number and the ends of a segment take beside its name there, in percent
WIDE = 0.64  # both, on a drawing of 1200 px


@dataclass(frozen=True, slots=True)
class Drawn:
    """A stage on the drawing: its number, its name, how it is filled.

    ``named``: its name fits in, ``named_wide``: it does on a wide sheet.
    """

    number: int
    name: str
    segment: Segment
    y: int
    face: str
    named: bool
    named_wide: bool


@dataclass(frozen=True, slots=True)
class Tie:
    """One stage before another where no splice says it: to the gap between lanes, along it, and across."""

    x: float
    to_x: float
    y: int
    gap_y: int
    to_y: int


@dataclass(frozen=True, slots=True)
class Joined:
    """Where a lane is spliced on: across, from its height to that of the one it joins."""

    x: float
    y: int
    to_y: int


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """The drawing of an order; ``height`` in lines of the drawing, ``words`` for those who can't see it."""

    drawn: tuple[Drawn, ...]
    splices: tuple[Joined, ...]
    ties: tuple[Tie, ...]
    height: int
    words: str


def order_of(stages: Sequence[PatternStage], things: Things) -> OrderSheet | None:
    """The drawing of a pattern's order, lengths by the rule of thumb for one piece.

    None for stages that wait for each other, or for none at all.
    """
    needs = {n: [x.position for x in s.needs] for n, s in enumerate(stages, 1)}
    ordered = in_order(needs)
    if not ordered or len(ordered) < len(stages):
        return None
    cuts = [Cut(n, _minutes(stages[n - 1], things), tuple(needs[n])) for n in ordered]
    stick = story_stick(cuts)
    segments = {s.stage: s for s in stick.segments}
    return OrderSheet(
        drawn=tuple(_drawn(n, s, segments[n], things) for n, s in enumerate(stages, 1)),
        splices=tuple(Joined(s.x, middle(s.lane), middle(s.to_lane)) for s in stick.splices),
        ties=tuple(_ties(needs, segments, stick.splices)),
        height=top(max(stick.lanes, 1) - 1) + DEEP + 8,
        words="; ".join(_said(n, s, needs[n]) for n, s in enumerate(stages, 1)),
    )


def in_order(needs: Mapping[int, Sequence[int]]) -> list[int]:
    """The places so that each follows what it needs; those in a ring, and what follows them, left out."""
    ordered: list[int] = []
    left = dict(needs)
    while free := [n for n, before in left.items() if not any(b in left for b in before)]:
        ordered += free
        for n in free:
            del left[n]
    return ordered


def top(lane: int) -> int:
    """The height at which a lane is drawn."""
    return HEAD + lane * LANE


def middle(lane: int) -> int:
    """The middle line of a lane."""
    return top(lane) + DEEP // 2


def _minutes(stage: PatternStage, things: Things) -> float:
    kind = things.kinds.get(stage.kind)
    return kind.rule.minutes(stage.fixed + stage.per_piece) if kind else 0.0


def _drawn(number: int, stage: PatternStage, segment: Segment, things: Things) -> Drawn:
    takes = len(stage.name) * LETTER + ROUND_A_NAME
    fits, fits_wide = segment.width >= takes, segment.width >= takes * WIDE
    return Drawn(number, stage.name, segment, top(segment.lane), _face(stage, things), fits, fits_wide)


def _face(stage: PatternStage, things: Things) -> str:
    if stage.clamps:
        return "held"
    kind = things.kinds.get(stage.kind)
    attendance = stage.attendance or (kind.attendance if kind else "hands-on")
    return "set" if attendance == "none" else "paper"


def _ties(
    needs: Mapping[int, Sequence[int]], segments: Mapping[int, Segment], splices: Sequence[Splice]
) -> list[Tie]:
    """What neither lies end to end on one lane nor is spliced on."""
    found: list[Tie] = []
    for stage, before in needs.items():
        for other in before:
            at, to = segments[other], segments[stage]
            if not _end_to_end(at, to) and not any(_joins(s, at, to) for s in splices):
                found.append(_tie(at, to, len(found)))
    return found


def _end_to_end(at: Segment, to: Segment) -> bool:
    return at.lane == to.lane and _near(at.to_x, to.x)


def _joins(splice: Splice, at: Segment, to: Segment) -> bool:
    there = splice.lane == at.lane and splice.to_lane == to.lane
    return there and _near(splice.x, to.x) and _near(at.to_x, splice.x)


def _near(x: float, other: float) -> bool:
    return abs(x - other) < 0.05


def _tie(at: Segment, to: Segment, drawn: int) -> Tie:
    """Below the lane, or above it where the other lies above; each a little beside the one before."""
    aside, up = 5 + drawn % 3 * 4, to.lane < at.lane
    y, to_y = top(at.lane) + (0 if up else DEEP), top(to.lane) + (0 if to.lane > at.lane else DEEP)
    return Tie(at.to_x, to.x, y, y - aside if up else y + aside, to_y)


def _said(number: int, stage: PatternStage, needs: Sequence[int]) -> str:
    after = f" after {', '.join(map(str, needs))}" if needs else ""
    return f"{number} {stage.name}{after}"
