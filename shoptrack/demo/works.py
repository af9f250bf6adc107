"""What a stage of the invented shop really takes and when it may go on: the truth behind its log."""

import random
from dataclasses import dataclass, field
from datetime import UTC, datetime

from shoptrack.engine import cure
from shoptrack.engine.marks import opens_at, room_of
from shoptrack.engine.shapes import FAR, Stage, World, in_force

EARLY = datetime.min.replace(tzinfo=UTC)

# how far this shop's own first guesses were off: carving and inlay take longer, flattening goes faster
BIAS = {
    "carving": 1.12,
    "inlay": 1.4,
    "flattening": 0.8,
    "fitting": 1.3,
    "sanding": 1.25,
    "finishing": 0.9,
    "milling": 0.95,
}
SPREAD = {"carving": 0.06, "fitting": 0.35, "inlay": 0.25}
PATTERN_BIAS = {"inlaid door": 1.2, "serving tray": 0.9}


@dataclass
class Work:
    """A stage that is still to be done, as it really is: minutes nobody knows beforehand.

    ``free_at`` is when it may go on itself, ``next_at`` when what follows may start. ``rounds`` holds the
    instants at which its rounds could be worked, with their counts.
    """

    stage: Stage
    setup_min: float
    rate_min: float
    left: float
    done_at: datetime | None = None
    free_at: datetime = EARLY
    next_at: datetime = EARLY
    rounds: list[tuple[datetime, float]] = field(default_factory=list)
    worked_min: float = 0.0
    open_by: int | None = None
    start_id: str = ""

    @property
    def minutes_left(self) -> float:
        """Minutes that are still in it, its set-up included until it was begun."""
        return (0.0 if self.worked_min else self.setup_min) + self.rate_min * self.left


def real(stage: Stage, pattern: str, rng: random.Random, at: datetime) -> Work:
    """The stage as it will turn out."""
    rule = in_force(stage.rule, at)
    off = BIAS.get(stage.kind, 1.0) * PATTERN_BIAS.get(pattern, 1.0)
    off *= rng.lognormvariate(0, SPREAD.get(stage.kind, 0.18))
    return Work(stage, rule.setup_min * off, rule.rate_min * off, stage.quantity)


def wait(work: Work, world: World, closed_at: datetime, count: float) -> datetime:
    """Close a round: its own next and what follows wait as the glue or finish says; gives clamps-off."""
    stage = work.stage
    recipe = in_force(stage.recipes, closed_at)
    cured = cure.reckon(recipe, room_of(world, stage), (), world.calendar, closed_at)
    gate = cured.gate_at() or closed_at
    work.next_at = max(work.next_at, gate if gate != FAR else closed_at)
    work.rounds.append((work.next_at, count))
    recoat = opens_at(cured, "recoat")
    if recoat is not None:
        work.free_at = max(work.free_at, recoat)
    return opens_at(cured, "clamps off") or closed_at
