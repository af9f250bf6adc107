"""A stage and the plan → where the plan has it and why not, and the pin that a person gives it."""

from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Job, Pin, Stage, Standing
from shoptrack.errors import NotFound
from shoptrack.flows.planning.dates import JobDate, job_dates
from shoptrack.flows.planning.lanes import Names, Piece, pieces_of
from shoptrack.flows.planning.nights import Curing, cures_of
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.planning.view import left_of
from shoptrack.flows.shopfloor import Sight
from shoptrack.store import stage_pins
from shoptrack.store.db import Store


@dataclass(frozen=True, slots=True)
class Turn:
    """One person's stretch of the stage on one day."""

    on: date
    name: str
    piece: Piece


@dataclass(frozen=True, slots=True)
class AtStage:
    """A stage in the plan: its turns in order, what cures after it, its job's date, and its pin.

    ``why_not`` says why some of it is not planned; ``people`` are those who may be pinned to it.
    """

    stage: Stage
    job: Job
    standing: Standing
    turns: tuple[Turn, ...]
    cures: tuple[Curing, ...]
    line: JobDate
    why_not: tuple[str, ...]
    pin: Pin | None
    people: tuple[tuple[int, str], ...]
    today: date
    made_at: datetime


def at_stage(sight: Sight, planned: Planned, stage_id: int) -> AtStage:
    """Where the plan has a stage of an open job. Raises NotFound."""
    stage = sight.world.stages.get(stage_id)
    if stage is None or stage.removed or stage_id not in sight.standings:
        raise NotFound("There is no such stage in the work that is open.")
    laid, plan = planned.laid, planned.plan
    names = Names(sight, laid, plan)
    people = {p.id: p for p in sight.world.people.values() if not p.retired}
    turns = tuple(
        Turn(on, people[person].name, piece)
        for (person, on), pieces in pieces_of(sight, laid, plan, names).items()
        for piece in pieces
        if piece.named.stage == stage_id and person in people
    )
    return AtStage(
        stage=stage,
        job=sight.world.jobs[stage.job],
        standing=sight.standings[stage_id],
        turns=tuple(sorted(turns, key=lambda t: (t.piece.from_at, t.name))),
        cures=tuple(c for c in cures_of(sight, laid, plan, names) if c.named.stage == stage_id),
        line=next(line for line in job_dates(sight, laid, plan) if line.job == stage.job),
        why_not=tuple(n.sentence for n in left_of(sight, planned) if stage_id in n.stages),
        pin=sight.world.pins.get(stage_id),
        people=tuple((p.id, p.name) for p in people.values() if stage.kind_id not in p.never),
        today=local(sight.world.calendar, sight.now).date(),
        made_at=planned.made_at,
    )


def pin(
    store: Store, stage: int, on: date, person: int | None, today: date, who: int | None, now: datetime
) -> bool:
    """Pin a stage to a day, and to a person where one is said. Gives whether anything changed."""
    with store.writing() as session:
        return stage_pins.set_pin(session, stage, on, person, today=today, who=who, now=now)


def unpin(store: Store, stage: int, who: int | None, now: datetime) -> bool:
    """Let a stage go wherever the plan puts it."""
    with store.writing() as session:
        return stage_pins.unpin(session, stage, who, now)
