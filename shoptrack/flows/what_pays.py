"""Closed jobs → what each kind of piece and each customer earned per hand-hour and per clamp-night."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from sqlalchemy.orm import Session

from shoptrack.engine.cents import rounded
from shoptrack.engine.hours import local
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Calendar, Replayed, World
from shoptrack.flows.job_money import machine_cost
from shoptrack.store import pays
from shoptrack.store.pays import SoldJob
from shoptrack.store.rates import list_rates
from shoptrack.store.snapshot import world_around

MOST_JOBS = 200
FEWEST = 3
"""Under so many jobs no range is told: it would say nothing."""


@dataclass(frozen=True, slots=True)
class Spread:
    """What one job in ten stays under and what nine in ten stay under, in cents."""

    p10_cents: int
    p90_cents: int


@dataclass(frozen=True, slots=True)
class Pays:
    """What some jobs earned beyond what was bought and run for them, over the hours and nights they took.

    ``earned_cents`` is price and extras less material, machines and mends. ``hour_cents`` is that over the
    hours of hands, ``night_cents`` over the clamp-nights: one clamp held over one night; None where there
    were none. ``hour_range`` is over its jobs, None under three. ``price_cents`` is what such a job brought
    on average, ``level_cents`` what it would have had to bring to earn per hour what all jobs together do.
    """

    name: str
    id: int | None
    jobs: int
    hands_min: float
    clamp_nights: int
    earned_cents: int
    hour_cents: int | None
    hour_range: Spread | None
    night_cents: int | None
    night_range: Spread | None
    price_cents: int
    level_cents: int


@dataclass(frozen=True, slots=True)
class WhatPays:
    """All jobs looked at together, then by pattern and by customer, what pays best first."""

    all: Pays | None
    by_pattern: tuple[Pays, ...]
    by_customer: tuple[Pays, ...]
    since: datetime | None


@dataclass(frozen=True, slots=True)
class _Job:
    sold: SoldJob
    machine_cents: int
    nights: int

    @property
    def earned_cents(self) -> int:
        """What is left for hands."""
        return self.sold.earned_cents - self.sold.spent_cents - self.machine_cents


def what_pays(session: Session, now: datetime) -> WhatPays:
    """What the newest 200 closed jobs with a price earned. Empty: nothing was closed with a price yet.

    Jobs without a minute of hands are left out: nothing was logged on them. Raises NotSetUp.
    """
    sold = [job for job in pays.sold_jobs(session, MOST_JOBS) if job.hands_min > 0]
    if not sold:
        return WhatPays(None, (), (), None)
    ids = [job.id for job in sold]
    world = world_around(session, pays.clamped_stages(session, ids))
    entries = pays.log_of_clamps(session, ids)
    nights = clamp_nights(replay(entries, world, now, frozenset(world.jobs)), world)
    machine = _machine_cents(session, ids, world.calendar)
    jobs = [_Job(job, machine.get(job.id, 0), nights.get(job.id, 0)) for job in sold]
    whole = _pays("all jobs", None, jobs, None)
    return WhatPays(
        whole,
        _groups(jobs, lambda j: (j.sold.pattern_id, j.sold.pattern or "without a pattern"), whole),
        _groups(jobs, lambda j: (j.sold.customer_id, j.sold.customer), whole),
        min(job.closed_at for job in sold),
    )


def clamp_nights(replayed: Replayed, world: World) -> dict[int, int]:
    """By job, how many clamps it held over how many midnights, added up; a closed job let go of its own."""
    found: dict[int, int] = defaultdict(int)
    for passes in replayed.passes.values():
        for work in passes:
            for made in work.rounds:
                clamps = sum(count for _, count in made.clamps_set)
                if clamps:
                    until_at = made.unclamped_at or world.jobs[work.job].closed_at or replayed.now
                    found[work.job] += clamps * _midnights(made.cured_from, until_at, world.calendar)
    return dict(found)


def _midnights(from_at: datetime, until_at: datetime, calendar: Calendar) -> int:
    days = local(calendar, until_at).date() - local(calendar, from_at).date()
    return max(0, days // timedelta(days=1))


def _machine_cents(session: Session, jobs: Sequence[int], calendar: Calendar) -> dict[int, int]:
    rates = list_rates(session)
    found: dict[int, Any] = defaultdict(int)
    for ran in pays.runs_of(session, jobs):
        on = local(calendar, ran.finished_at).date()
        found[ran.job] += machine_cost(rates, ran.station, on, ran.machine_min) or 0
    return {job: rounded(cents) for job, cents in found.items()}


def _groups(
    jobs: Iterable[_Job], key: Callable[[_Job], tuple[int | None, str]], whole: Pays
) -> tuple[Pays, ...]:
    grouped: Mapping[tuple[int | None, str], list[_Job]] = defaultdict(list)
    for job in jobs:
        grouped[key(job)].append(job)
    found = [_pays(name, id_, own, whole) for (id_, name), own in grouped.items()]
    return tuple(sorted(found, key=lambda p: (-(p.hour_cents or 0), p.name)))


def _pays(name: str, id_: int | None, jobs: Sequence[_Job], whole: Pays | None) -> Pays:
    hands_min, earned = sum(j.sold.hands_min for j in jobs), sum(j.earned_cents for j in jobs)
    nights = [j for j in jobs if j.nights]
    brought = sum(j.sold.earned_cents for j in jobs)
    a_minute = whole.earned_cents / whole.hands_min if whole is not None else earned / hands_min
    return Pays(
        name=name,
        id=id_,
        jobs=len(jobs),
        hands_min=hands_min,
        clamp_nights=sum(j.nights for j in nights),
        earned_cents=earned,
        hour_cents=round(earned / hands_min * 60),
        hour_range=_spread([j.earned_cents / j.sold.hands_min * 60 for j in jobs]),
        night_cents=_per_night(nights),
        night_range=_spread([j.earned_cents / j.nights for j in nights]),
        price_cents=round(brought / len(jobs)),
        level_cents=max(0, round((brought - earned + a_minute * hands_min) / len(jobs))),
    )


def _per_night(jobs: Sequence[_Job]) -> int | None:
    if not jobs:
        return None
    return round(sum(j.earned_cents for j in jobs) / sum(j.nights for j in jobs))


def _spread(each: Sequence[float]) -> Spread | None:
    """The tenth and ninetieth per cent over jobs, straight lines between them."""
    if len(each) < FEWEST:
        return None
    low, high = np.quantile(np.array(each), [0.1, 0.9])
    return Spread(round(float(low)), round(float(high)))
