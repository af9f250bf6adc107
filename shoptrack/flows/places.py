"""A stage of the world to the few words that name it on a page, its minutes so far and its cautions."""

from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.shapes import Round, Stage, in_force
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True, slots=True)
class Place:
    """A stage by its names; ``count`` of ``quantity`` in ``unit`` where one round of several is meant
    (of ``coats``, the second of three).
    """

    job: int
    stage: int
    tag: str
    title: str
    name: str
    kind: str
    count: float | None = None
    quantity: float = 0.0
    unit: str = ""
    coats: bool = False


def place_of(sight: Sight, stage_id: int, made: Round | None = None) -> Place:
    """The names of a stage, and which part of it where a round is given that is not the whole."""
    stage = sight.world.stages[stage_id]
    job = sight.world.jobs[stage.job]
    part = made is not None and stage.rounds
    return Place(
        job=job.id,
        stage=stage.id,
        tag=job.tag,
        title=job.title,
        name=stage.name,
        kind=stage.kind,
        count=_which(sight, stage, made) if made is not None and part else None,
        quantity=stage.quantity,
        unit=stage.unit,
        coats=made is not None and _are_coats(stage, made),
    )


def _which(sight: Sight, stage: Stage, made: Round) -> float:
    """How many a round was; of coats, which go on over each other, which one it was."""
    if not _are_coats(stage, made):
        return made.count
    passed = next(p for p in sight.replayed.passes[stage.id] if p.redo == made.redo)
    return sum(r.count for r in passed.rounds if r.number <= made.number)


def _are_coats(stage: Stage, made: Round) -> bool:
    return bool(stage.recipes) and in_force(stage.recipes, made.cured_from).kind == "finish"


def so_far_min(sight: Sight, person: int, stage_ids: tuple[int, ...]) -> float:
    """Minutes on the stages in hand so far, everybody's; of shop time, the stretch that is open."""
    if stage_ids:
        return sum(sight.replayed.current(s).attended_min for s in stage_ids)
    return sum(s.minutes for s in sight.replayed.shop_time if s.person == person and s.end is None)


def cautions_of(stage: Stage, now: datetime) -> tuple[str, ...]:
    """What to mind at a stage: its own caution and that of its glue or finish."""
    recipe = in_force(stage.recipes, now) if stage.recipes else None
    return tuple(c for c in (stage.caution, recipe.caution if recipe else "") if c)
