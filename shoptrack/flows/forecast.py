"""A job in progress and what was learned → the hours still to come, a range that tightens with the work."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from math import log

import numpy as np
from sqlalchemy.orm import Session

from shoptrack.engine import durations
from shoptrack.engine.shapes import Pass, Rule, Stage, Stint
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import Range
from shoptrack.engine.totals import Part, draw_min, range_of_draws
from shoptrack.flows.learning import Learned, lately, learned
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.db import Store
from shoptrack.store.predictions import Kept, kept_of

DRAWS = 500


@dataclass(frozen=True, slots=True)
class StageToCome:
    """A stage, or its pieces that go through again, that is not done: minutes of hands still to come."""

    stage: int
    name: str
    foretold: Prediction
    spent_min: float
    to_come_min: Range


@dataclass(frozen=True, slots=True)
class Forecast:
    """Minutes of hands that a job still takes and takes in all; ``spent_min`` are worked, mends in it.

    ``first_min`` is what would have been said of all of it at its beginning, where that is known.
    ``untested``: a stage to come is of a pattern of which none was logged; first builds run long.
    """

    to_come_min: Range
    all_min: Range
    spent_min: float
    stages: tuple[StageToCome, ...]
    untested: bool = False
    first_min: Range | None = None


def job_forecast(store: Store, sight: Sight, job_id: int, now: datetime) -> Forecast | None:
    """What a job in progress still takes, beside what was foretold as it began; None for a closed one."""
    if sight.world.jobs[job_id].closed_at is not None:
        return None
    known = learned(store, now)
    with store.reading() as session:
        return with_first(forecast(known, sight, job_id), session, known, sight, job_id)


def forecasts(store: Store, sight: Sight, now: datetime) -> dict[int, Forecast]:
    """What each job in progress still takes, by what was learned lately."""
    known = lately(store, now)
    return {j.id: forecast(known, sight, j.id) for j in sight.world.jobs.values() if j.closed_at is None}


def forecast(known: Learned, sight: Sight, job_id: int) -> Forecast:
    """What a job still takes. The same of one state of the log gives the same minutes.

    Empty: a job of which all is done has nothing to come. Method: what is left of each stage is foretold from
    what was learned by now, of one in hand more than it has taken already; the finished ones say how far this
    job runs long (engine.totals).
    """
    left = list(_left(known, sight, job_id))
    parts = tuple(part for _, part in left)
    drawn = _drawn(job_id, parts, round(known.likeness, 2), known.surprises.get(job_id, ()))
    spent = _spent_min(sight, job_id)
    stages = tuple(
        StageToCome(stage.id, stage.name, part.foretold, part.spent_min, own)
        for (stage, part), own in zip(left, drawn[1:], strict=True)
    )
    patterned = sight.world.jobs[job_id].pattern is not None
    untested = patterned and any(one.foretold.untested for one in stages)
    return Forecast(drawn[0], _on_top(drawn[0], spent), spent, stages, untested)


def with_first(told: Forecast, session: Session, known: Learned, sight: Sight, job_id: int) -> Forecast:
    """The same with what would have been said at the beginning: of each stage begun what was foretold before
    it was, of the others what is foretold now, without anything that this job has shown since.
    """
    stages = [sight.world.stages[standing.stage] for standing in sight.stages_of(job_id)]
    own = [stage for stage in stages if _takes_hands(known, stage)]
    kept = kept_of(session, durations.METHOD, [stage.id for stage in own])
    if not kept:
        return told
    parts = tuple(Part(_first(known, sight, stage, kept)) for stage in own)
    whole, *_ = _drawn(job_id, parts, round(known.likeness, 2), ())
    return replace(told, first_min=whole)


def _first(known: Learned, sight: Sight, stage: Stage, kept: Mapping[int, Kept]) -> Prediction:
    row = kept.get(stage.id)
    # several done together were foretold as one: such a row is of more than this stage
    if row is None or row.quantity > stage.quantity:
        return _foretold(known, sight, stage, stage.quantity)
    return _rounded(Prediction(row.df, row.loc, row.scale, row.logs, row.of_pattern))


def _left(known: Learned, sight: Sight, job_id: int) -> Iterator[tuple[Stage, Part]]:
    """What is left of each pass of the job's stages that is not done."""
    for standing in sight.stages_of(job_id):
        stage = sight.world.stages[standing.stage]
        if _takes_hands(known, stage):
            for work in sight.replayed.passes[stage.id]:
                if work.finished_at is None and work.quantity > work.count_done:
                    told = _foretold(known, sight, stage, work.quantity)
                    yield stage, _part(told, work, known.kinds[stage.kind_id].kind.rule)


def _takes_hands(known: Learned, stage: Stage) -> bool:
    return stage.attendance != "none" and stage.kind_id in known.kinds and stage.quantity > 0


def _foretold(known: Learned, sight: Sight, stage: Stage, quantity: float) -> Prediction:
    pattern = sight.world.jobs[stage.job].pattern
    return _rounded(known.foretell(stage.kind_id, quantity, pattern, f"j{stage.job}"))


def _rounded(told: Prediction) -> Prediction:
    """To a hundredth of ln(minutes): times of other kinds move no hours, and nothing is drawn anew."""
    return replace(told, df=float(round(told.df)), loc=round(told.loc, 2), scale=round(told.scale, 2))


def _part(told: Prediction, work: Pass, rule: Rule) -> Part:
    """What is left of a pass: of one done in rounds its share by count, the set-up being in the first."""
    if not work.count_done:
        return Part(told, round(work.attended_min))
    left = (work.quantity - work.count_done) / work.quantity
    whole = rule.minutes(work.quantity)
    share = left * rule.rate_min * work.quantity / whole if rule.rate_min else left
    since = _since(work, max(made.cured_from for made in work.rounds))
    return Part(replace(told, loc=told.loc + round(log(share), 2)), round(since))


def _since(work: Pass, at: datetime) -> float:
    """Minutes of hands on a pass since an instant."""
    return sum(stint.attended_min * _share_since(stint, at) for stint in work.stints)


def _share_since(stint: Stint, at: datetime) -> float:
    whole = sum((b - a).total_seconds() for a, b in stint.counted)
    after = sum((b - max(a, at)).total_seconds() for a, b in stint.counted if b > at)
    return after / whole if whole else 0.0


def _spent_min(sight: Sight, job_id: int) -> float:
    own = [s.id for s in sight.world.stages.values() if s.job == job_id]
    works = [work for stage in own for work in sight.replayed.passes[stage]]
    return sum(work.attended_min + work.mend_min for work in works)


@lru_cache(maxsize=1024)
def _drawn(
    job_id: int, parts: tuple[Part, ...], rho: float, surprises: tuple[float, ...]
) -> tuple[Range, ...]:
    """The range of all minutes to come, then of each part; drawn with the job's number as its seed."""
    if not parts:
        return (Range(0.0, 0.0, 0.0, 0.0),)
    spent = np.array([part.spent_min for part in parts])
    minutes = draw_min(parts, rho, np.random.default_rng(job_id), DRAWS, surprises) - spent
    return (range_of_draws(minutes.sum(axis=1)), *(range_of_draws(own) for own in minutes.T))


def _on_top(to_come: Range, spent_min: float) -> Range:
    return Range(*(spent_min + x for x in (to_come.p10, to_come.p50, to_come.p80, to_come.p90)))
