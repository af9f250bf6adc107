"""Jobs to their story sticks: a segment for each stage, a pencil mark where it stands, splices of parts."""

from collections.abc import Sequence
from dataclasses import dataclass

from shoptrack.engine.units import show_minutes
from shoptrack.flows.jobs import JobLine, Step
from shoptrack.web.stick import Cut, Segment, Splice, story_stick

LANE = 36  # from one lane of a stick to the next
DEEP = 18  # a stick's own height
HEAD = 16  # room above for the pencil mark

FACES = {
    "done": "wood",
    "curing": "held",
    "in hand": "hand",
    "running": "hand",
    "set down": "set",
    "put aside": "aside",
}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A stage on the stick: where, how it is filled, and what it is called for those who can't see it.

    ``lasts`` is how long a rest takes, written on it; empty for work.
    """

    step: Step
    segment: Segment
    y: int
    face: str
    lasts: str = ""


@dataclass(frozen=True, slots=True)
class Joined:
    """A splice: across, from the lane's height to the one it joins."""

    x: float
    y: int
    to_y: int


@dataclass(frozen=True, slots=True)
class StickSheet:
    """A job's stick with its pencil mark; ``height`` in lines of the drawing."""

    line: JobLine
    drawn: tuple[Drawn, ...]
    splices: tuple[Joined, ...]
    pencil: Drawn | None
    height: int


def stick_of(line: JobLine) -> StickSheet:
    """The stick of a job; one without stages has none."""
    stick = story_stick(cuts(line.steps))
    segments = {s.stage: s for s in stick.segments}
    drawn = tuple(
        Drawn(s, segments[s.stage.id], top(segments[s.stage.id].lane), face(s), lasts(s)) for s in line.steps
    )
    at = line.pencil
    return StickSheet(
        line=line,
        drawn=drawn,
        splices=tuple(joined(s) for s in stick.splices),
        pencil=next((d for d in drawn if at and d.step.stage.id == at.stage.id), None),
        height=top(max(stick.lanes, 1) - 1) + DEEP + 6,
    )


def rests(step: Step) -> bool:
    """Whether nobody works in it: it only takes its time."""
    return step.stage.attendance == "none"


def face(step: Step) -> str:
    """How a stage is filled: by its state, a rest by whether it is over."""
    if rests(step):
        return "rested" if step.state == "done" else "rest"
    return FACES.get(step.state, "paper")


def lasts(step: Step) -> str:
    """How long a rest takes, as short as can be written: "7 days"; nothing for work."""
    return show_minutes(step.usual_min) if rests(step) and step.usual_min else ""


def cuts(steps: Sequence[Step]) -> list[Cut]:
    """The stages in an order in which each follows what it needs; needs outside the job are left out."""
    left = {
        s.stage.id: Cut(s.stage.id, s.usual_min, tuple(n.stage for n in s.stage.needs), rests(s))
        for s in steps
    }
    ordered: list[Cut] = []
    while left:
        free = [c for c in left.values() if not any(n in left for n in c.needs)] or list(left.values())[:1]
        ordered.extend(free)
        for cut in free:
            del left[cut.stage]
    return ordered


def joined(splice: Splice) -> Joined:
    """A splice at the heights of its lanes."""
    return Joined(splice.x, top(splice.lane) + DEEP // 2, top(splice.to_lane) + DEEP // 2)


def top(lane: int) -> int:
    """The height at which a lane is drawn."""
    return HEAD + lane * LANE
