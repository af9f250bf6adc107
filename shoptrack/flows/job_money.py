"""A job's hours, rates, extras and costs → what it earns, what it cost so far, and what is left."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import TypeVar

from sqlalchemy.orm import Session

from shoptrack.engine.cents import rounded, rounded_parts
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Calendar
from shoptrack.errors import NotFound
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.work_done import Work, work_done
from shoptrack.store.costs import costs_of
from shoptrack.store.extras import approved_cents
from shoptrack.store.jobs import job_row
from shoptrack.store.rates import hands_rate, list_rates, machine_rate
from shoptrack.store.tables import RateRow

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class HoursLine:
    """Minutes of hands under one name (a stage, a person) and what they cost; ``again_min`` of them were
    done again for spoiled pieces.
    """

    name: str
    minutes: float
    cents: int
    again_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Reckoning:
    """What a job earns and cost. ``unpriced_min``: minutes of hands or machine for which no rate is said.

    All in the currency's smallest unit; the lines add up to ``cost_cents``, which alone was rounded.
    ``again_cents`` is the part of the hands' cost that went into doing spoiled pieces again.
    """

    price_cents: int | None
    extras_cents: int
    by_stage: tuple[HoursLine, ...]
    by_person: tuple[HoursLine, ...]
    hands_min: float
    hands_cents: int
    machine_min: float
    machine_cents: int
    spent_cents: int
    mends_cents: int
    again_min: float
    again_cents: int
    unpriced_min: float

    @property
    def earned_cents(self) -> int | None:
        """Price and approved extras; None while there is no price."""
        return None if self.price_cents is None else self.price_cents + self.extras_cents

    @property
    def cost_cents(self) -> int:
        """All that the job cost."""
        return self.hands_cents + self.machine_cents + self.spent_cents + self.mends_cents

    @property
    def left_cents(self) -> int | None:
        """What is left of what it earns; None while there is no price."""
        return None if self.earned_cents is None else self.earned_cents - self.cost_cents


@dataclass(frozen=True, slots=True)
class Priced:
    """Work with what it cost, not rounded; None where no rate is said for it."""

    work: Work
    cents: Fraction | None


def reckon(session: Session, sight: Sight, job_id: int) -> Reckoning:
    """What one job of a sight earns and cost. Raises NotFound."""
    if job_id not in sight.world.jobs:
        raise NotFound("There is no such job.")
    rates = list_rates(session)
    priced = price_work(
        work_done(sight.replayed, sight.entries, sight.world, (job_id,)), rates, sight.world.calendar
    )
    passes = [p for ps in sight.replayed.passes.values() for p in ps if p.job == job_id]
    runs = [(run.stage, run.start, run.machine_min) for p in passes for run in p.runs]
    stations = {s.id: s.station for s in sight.world.stages.values()}
    machine = [
        (minutes, machine_cost(rates, stations[stage], _day(sight.world.calendar, at), minutes))
        for stage, at, minutes in runs
    ]
    return _reckoning(
        sight,
        priced,
        machine,
        price=job_row(session, job_id).price_cents,
        extras=approved_cents(session, job_id),
        spent=sum(c.cents for c in costs_of(session, job_id)),
        mends=sum(p.mend_cents for p in passes),
    )


def price_work(works: Iterable[Work], rates: Sequence[RateRow], calendar: Calendar) -> tuple[Priced, ...]:
    """Each stretch of work at the rate that was in force on its day, not rounded."""
    return tuple(
        Priced(w, _at_rate(w.minutes, hands_rate(rates, w.person, _day(calendar, w.start)))) for w in works
    )


def _reckoning(
    sight: Sight,
    priced: Sequence[Priced],
    machine: Sequence[tuple[float, Fraction | None]],
    *,
    price: int | None,
    extras: int,
    spent: int,
    mends: int,
) -> Reckoning:
    hands_cents, machine_cents = rounded_parts(
        [
            sum((p.cents or Fraction(0) for p in priced), Fraction(0)),
            sum((c or Fraction(0) for _, c in machine), Fraction(0)),
        ]
    )
    again = [p for p in priced if p.work.redo]
    return Reckoning(
        price_cents=price,
        extras_cents=extras,
        by_stage=_stages(sight, priced),
        by_person=_people(sight, priced),
        hands_min=sum(p.work.minutes for p in priced),
        hands_cents=hands_cents,
        machine_min=sum(minutes for minutes, _ in machine),
        machine_cents=machine_cents,
        spent_cents=spent,
        mends_cents=mends,
        again_min=sum(p.work.minutes for p in again),
        again_cents=rounded(sum((p.cents or Fraction(0) for p in again), Fraction(0))),
        unpriced_min=sum(p.work.minutes for p in priced if p.cents is None)
        + sum(minutes for minutes, cents in machine if cents is None),
    )


def _stages(sight: Sight, priced: Sequence[Priced]) -> tuple[HoursLine, ...]:
    """By stage, in the order of the job."""
    stages = sight.world.stages
    return _lines(priced, lambda w: stages[w.stage].position, lambda w: stages[w.stage].name)


def _people(sight: Sight, priced: Sequence[Priced]) -> tuple[HoursLine, ...]:
    """By person, by name; work in nobody's name last."""
    names = {p.id: p.name for p in sight.world.people.values()}
    return _lines(
        priced,
        lambda w: (w.person is None, names.get(w.person or 0, ""), w.person or 0),
        lambda w: names.get(w.person or 0, "nobody named"),
    )


def _lines(
    priced: Sequence[Priced], key: Callable[[Work], Key], name: Callable[[Work], str]
) -> tuple[HoursLine, ...]:
    grouped: dict[Key, list[Priced]] = defaultdict(list)
    for p in priced:
        grouped[key(p.work)].append(p)
    groups = [grouped[k] for k in sorted(grouped)]  # type: ignore[type-var] # each caller's keys have an order
    cents = rounded_parts([sum((p.cents or Fraction(0) for p in g), Fraction(0)) for g in groups])
    return tuple(
        HoursLine(
            name=name(g[0].work),
            minutes=sum(p.work.minutes for p in g),
            cents=c,
            again_min=sum(p.work.minutes for p in g if p.work.redo),
        )
        for g, c in zip(groups, cents, strict=True)
    )


def _at_rate(minutes: float, cents_per_h: int | None) -> Fraction | None:
    return None if cents_per_h is None else Fraction(minutes) * cents_per_h / 60


def machine_cost(rates: Sequence[RateRow], station: int | None, on: date, minutes: float) -> Fraction | None:
    """What minutes of a station cost at the rate of a day, in cents, not rounded; None: no rate is said."""
    return None if station is None else _at_rate(minutes, machine_rate(rates, station, on))


def _day(calendar: Calendar, at: datetime) -> date:
    return local(calendar, at).date()
