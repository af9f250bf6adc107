"""A month of the log and of the office's rows → its figures: jobs, hours by person and kind, money."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from math import floor, fsum
from typing import Literal

from sqlalchemy.orm import Session

from shoptrack.engine import hours
from shoptrack.engine.cents import rounded
from shoptrack.engine.replay import live_entries, replay
from shoptrack.engine.shapes import Calendar, Entry, Replayed, Run, World
from shoptrack.flows.job_money import machine_cost, price_work
from shoptrack.flows.work_done import Work, work_done
from shoptrack.store import months
from shoptrack.store.months import Sold
from shoptrack.store.rates import list_rates
from shoptrack.store.snapshot import world_around
from shoptrack.store.tables import RateRow

AFTER = timedelta(days=2)
"""How long after a month what was said of its last minutes (help, a late finish) is looked for."""
_HALF = 0.5 + 1e-6  # half a minute, and what sums of fractions are off by

Unit = Literal["count", "min", "cents"]


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a month; ``key`` is "group" or "group:which", ``words`` names it on the page."""

    key: str
    words: str
    unit: Unit
    value: int

    @property
    def group(self) -> str:
        """The group of figures that it stands in."""
        return self.key.partition(":")[0]


def next_month(first_on: date) -> date:
    """The first day of the month after."""
    return (first_on.replace(day=1) + timedelta(days=32)).replace(day=1)


@dataclass(frozen=True, slots=True)
class Office:
    """The office's rows by the month that each belongs to, by local days."""

    closed: Mapping[date, Sequence[Sold]]
    delivered: Mapping[date, Sequence[Sold]]
    deposits: Sequence[Sold]
    spent: Mapping[date, Mapping[str, int]]


def by_month(sold: Iterable[Sold], spent: Iterable[tuple[date, str, int]], calendar: Calendar) -> Office:
    """Sort the office's rows into their months, once for all months that are asked for."""
    closed: dict[date, list[Sold]] = defaultdict(list)
    delivered: dict[date, list[Sold]] = defaultdict(list)
    deposits = []
    for s in sold:
        if s.closed_at is not None:
            closed[hours.local(calendar, s.closed_at).date().replace(day=1)].append(s)
        if s.delivered_on is not None:
            delivered[s.delivered_on.replace(day=1)].append(s)
        if s.deposit_cents and s.deposit_on is not None:
            deposits.append(s)
    by_kind: dict[date, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for on, kind, cents in spent:
        by_kind[on.replace(day=1)][kind] += cents
    return Office(closed, delivered, deposits, by_kind)


def office_figures(office: Office, first_on: date) -> tuple[Figure, ...]:
    """What the office's rows say of a month: jobs closed, earned, spent, deposits owed at its end."""
    end_on, closed = next_month(first_on), office.closed.get(first_on, ())
    delivered = office.delivered.get(first_on, ())
    earned = sum(s.price_cents for s in delivered)
    return (
        Figure("closed", "jobs closed", "count", sum(not s.called_off for s in closed)),
        Figure("off", "jobs called off", "count", sum(s.called_off for s in closed)),
        Figure("delivered", "jobs delivered", "count", len(delivered)),
        Figure("earned", "earned: price and extras of what was delivered", "cents", earned),
        Figure("owed", "deposits owed at its end", "cents", _owed(office.deposits, end_on)),
        *(Figure(f"spent:{k}", k, "cents", c) for k, c in sorted(office.spent.get(first_on, {}).items())),
    )


def _owed(deposits: Iterable[Sold], end_on: date) -> int:
    """The deposits that had come by a day and whose work was not delivered by then."""
    come = (s for s in deposits if s.deposit_on is not None and s.deposit_on < end_on)
    return sum(s.deposit_cents for s in come if s.delivered_on is None or s.delivered_on >= end_on)


def work_figures(session: Session, calendar: Calendar, first_on: date, now: datetime) -> tuple[Figure, ...]:
    """What the log says of a month: minutes by person on jobs and of shop time, by kind of stage, and cost.

    Reads of the log the month and what its minutes rest on. Stints are cut where the month begins and ends.
    Empty: nobody did anything; the sums are nought.
    """
    first_at = hours.instant(calendar, first_on, time(0))
    until_at = min(hours.instant(calendar, next_month(first_on), time(0)), now)
    month = read_stretch(session, first_at, until_at, now)
    return (
        *_people(month.world, month.works, shop_time(month)),
        *_kinds(month.world, month.works),
        *_costs(month, list_rates(session)),
    )


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the log with what was replayed of it; ``works`` is the work within it."""

    world: World
    replayed: Replayed
    entries: Sequence[Entry]
    works: Sequence[Work]
    first_at: datetime
    until_at: datetime


def read_stretch(session: Session, first_at: datetime, until_at: datetime, now: datetime) -> Stretch:
    """Read of the log what the minutes of a stretch rest on, and replay it. Raises NotSetUp."""
    jobs = months.jobs_worked(session, first_at, until_at)
    entries = months.log_of_stretch(session, jobs, first_at, until_at + AFTER)
    world = world_around(session, {s for e in entries for s in e.stages})
    replayed = replay(entries, world, min(now, until_at + AFTER), jobs)
    works = work_done(replayed, entries, world, jobs)
    inside = [w for work in works if (w := work.within(first_at, until_at)) is not None]
    return Stretch(world, replayed, entries, inside, first_at, until_at)


def whole_minutes(minutes: Iterable[float]) -> int:
    """Minutes added up and rounded, the same in whichever order they come."""
    return floor(fsum(minutes) + _HALF)


def _people(world: World, inside: Sequence[Work], shop: dict[int | None, list[float]]) -> Iterable[Figure]:
    on_jobs: dict[int | None, list[float]] = defaultdict(list)
    for w in inside:
        on_jobs[w.person].append(w.minutes)
    for group, by in (("job_min", on_jobs), ("shop_min", shop)):
        names = {p: _name(world, p) for p in by}
        for person in sorted(by, key=lambda p: (p is None, names[p], p or 0)):
            yield Figure(f"{group}:{person or 0}", names[person], "min", whole_minutes(by[person]))
        # rounded by itself, so that it is the same however the hours are sorted
        yield Figure(f"{group}_all", "together", "min", whole_minutes(m for own in by.values() for m in own))


def _name(world: World, person: int | None) -> str:
    found = world.people.get(person) if person is not None else None
    return found.name if found is not None else "nobody named"


def _kinds(world: World, inside: Sequence[Work]) -> Iterable[Figure]:
    by: dict[str, list[float]] = defaultdict(list)
    for w in inside:
        by[world.stages[w.stage].kind].append(w.minutes)
    for kind in sorted(by):
        yield Figure(f"kind_min:{kind}", kind, "min", whole_minutes(by[kind]))


def shop_time(of: Stretch) -> dict[int | None, list[float]]:
    """Minutes of shop time in a stretch, within hours, by person."""
    by: dict[int | None, list[float]] = defaultdict(list)
    for stint in of.replayed.shop_time:
        end = max(stint.start, stint.end or of.replayed.now)
        if stint.start < of.until_at and end > of.first_at:
            spans = hours.counted(of.world.calendar, stint.person, stint.start, end)
            by[stint.person].append(_minutes_in(spans, of.first_at, of.until_at))
    return by


def _costs(month: Stretch, rates: Sequence[RateRow]) -> Iterable[Figure]:
    calendar = month.world.calendar
    hands = sum((p.cents or Fraction(0) for p in price_work(month.works, rates, calendar)), Fraction(0))
    runs = [run for ps in month.replayed.passes.values() for p in ps for run in p.runs]
    machine = sum((_run_cost(month, run, rates) for run in runs), Fraction(0))
    mends = sum(
        (e.cents or 0) * len(e.stages)
        for e in live_entries(month.entries)
        if e.kind == "mend" and month.first_at <= e.at < month.until_at
    )
    yield Figure("hands", "hours of hands at their rates", "cents", rounded(hands))
    yield Figure(
        "machine", "machine hours at their rates", "cents", rounded(hands + machine) - rounded(hands)
    )
    yield Figure("mends", "mending, beside its hours", "cents", mends)


def _run_cost(month: Stretch, run: Run, rates: Sequence[RateRow]) -> Fraction:
    """What a machine's run within the month cost; nought where no rate is said."""
    calendar, end = month.world.calendar, max(run.start, run.end or month.replayed.now)
    spans = hours.counted(calendar, None, run.start, end, through_lunch=True)
    minutes = _minutes_in(spans, month.first_at, month.until_at)
    on = hours.local(calendar, max(run.start, month.first_at)).date()
    return machine_cost(rates, month.world.stages[run.stage].station, on, minutes) or Fraction(0)


def _minutes_in(spans: Iterable[tuple[datetime, datetime]], first_at: datetime, until_at: datetime) -> float:
    cut = ((max(a, first_at), min(b, until_at)) for a, b in spans)
    return fsum((b - a).total_seconds() for a, b in cut if b > a) / 60
