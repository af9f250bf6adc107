"""Quotes → how the shop would stand had they been taken: offered jobs among those that there are."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Job, Pass, Stage
from shoptrack.engine.states import stand
from shoptrack.flows.quoting.kept import Kept
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.pretended import Offered, stages_like, stages_said

MOST_STAGES = 1000
"""Numbers are set aside for so many stages of each."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A quote as the job it would be. ``job`` and the stages are numbered below nought: no row has them."""

    quote: int
    job: Job
    stages: tuple[Stage, ...]


def offer_of(
    session: Session, quote: int, kept: Kept, customer: str, now: datetime, promised_on: date | None = None
) -> Offer:
    """A quote as a job of its own, promised for a day or not."""
    number, first = -quote, -quote * MOST_STAGES
    wanted, stages = kept.wanted, kept.made.stages
    job = Job(
        id=number,
        tag=f"quote {quote}",
        title=wanted.title,
        customer=customer,
        pieces=wanted.pieces,
        promised_on=promised_on,
        added_at=now,
        pattern=kept.made.pattern,
    )
    if wanted.revision is not None:
        quantities = {stage.position: stage.quantity for stage in stages}
        own = stages_like(session, wanted.revision, quantities, wanted.pieces, number, first)
    else:
        said = [Offered(one.kind, one.name, one.quantity, one.station) for one in stages]
        own = stages_said(session, said, number, first)
    return Offer(quote, job, own)


def with_offers(sight: Sight, offers: Sequence[Offer]) -> Sight:
    """How the shop would stand with these taken too: nothing of them is begun. Empty: as it stands."""
    if not offers:
        return sight
    stages = {stage.id: stage for offer in offers for stage in offer.stages}
    world = replace(
        sight.world,
        jobs={**sight.world.jobs, **{offer.job.id: offer.job for offer in offers}},
        stages={**sight.world.stages, **stages},
    )
    passes = {n: (_untouched(stage),) for n, stage in stages.items()}
    replayed = replace(sight.replayed, passes={**sight.replayed.passes, **passes})
    return replace(sight, world=world, replayed=replayed, standings=stand(replayed, world))


def _untouched(stage: Stage) -> Pass:
    return Pass(
        stage=stage.id,
        job=stage.job,
        redo=0,
        quantity=stage.quantity,
        started_at=None,
        finished_at=None,
        stints=(),
        runs=(),
        rounds=(),
        attended_min=0.0,
        elapsed_min=0.0,
        machine_min=0.0,
    )
