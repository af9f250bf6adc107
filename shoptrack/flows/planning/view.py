"""The plan that is shown → what the Plan screen has of it: a row a day, jobs against their dates."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.days import day_of
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import OffDays
from shoptrack.engine.shapes.planned import Missed
from shoptrack.flows.planning.dates import JobDate, job_dates, late_days
from shoptrack.flows.planning.lanes import (
    Lane,
    MachineRun,
    Names,
    Span,
    Spans,
    done_by,
    hours_by_day,
    lane,
    pieces_of,
    runs_of,
)
from shoptrack.flows.planning.nights import Curing, Held, InUse, cures_of, held_of, in_use, through
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight

DAYS_SHOWN = 14
FARTHEST = timedelta(days=365)
"""So far from today the days of the plan can be asked for."""


@dataclass(frozen=True, slots=True)
class Night:
    """From the last person's leaving to the next opening, and what cures meanwhile."""

    from_at: datetime
    to_at: datetime
    cures: tuple[Curing, ...]


@dataclass(frozen=True, slots=True)
class DueHere:
    """A job that is promised on a day (``ready`` False), or that gets ready on it after its day."""

    line: JobDate
    ready: bool


@dataclass(frozen=True, slots=True)
class DayRow:
    """A day of the plan. Nobody at work: no lanes, and ``closed`` says why where somebody said it.

    ``away`` are the people with a day off and its reason, ``extra`` those with hours on top of their week.
    ``cures`` begin on it, through its night or not.
    """

    on: date
    today: bool
    lanes: tuple[Lane, ...]
    runs: tuple[MachineRun, ...]
    night: Night | None
    cures: tuple[Curing, ...]
    clamps: tuple[InUse, ...]
    dues: tuple[DueHere, ...]
    closed: str | None
    away: tuple[tuple[str, str], ...]
    extra: tuple[str, ...]

    @property
    def works(self) -> bool:
        """Whether anybody is at work."""
        return any(each.hours for each in self.lanes)


@dataclass(frozen=True, slots=True)
class NotPlanned:
    """Something that is not in the plan, or a wait that it does not keep, in a sentence, of which stages."""

    job: int | None
    tag: str
    stages: tuple[int, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """The plan from ``first_on`` on, a row a day, with all jobs against their dates.

    ``late_days`` are the working days by which all promises are missed in sum; ``rule_late_days`` the same of
    the simple rule. ``stale``: made for the log as it was earlier. ``last_on`` is the last day with work.
    """

    at: datetime
    first_on: date
    today: date
    days: tuple[DayRow, ...]
    jobs: tuple[JobDate, ...]
    left: tuple[NotPlanned, ...]
    missed: tuple[NotPlanned, ...]
    people: tuple[tuple[int, str], ...]
    made_at: datetime
    proven: bool
    by: str
    number: int
    stale: bool
    late_days: int
    rule_late_days: int
    last_on: date | None

    @property
    def late(self) -> tuple[JobDate, ...]:
        """The jobs that the plan has late."""
        return tuple(line for line in self.jobs if line.late)


def plan_view(
    sight: Sight, planned: Planned, first_on: date | None, reasons: Sequence[tuple[OffDays, str]] = ()
) -> PlanView:
    """The Plan screen from a day on, today where none is said; ``reasons`` say why days are off.

    Empty: a shop without people has days without lanes, one without jobs has lanes without work.
    """
    today = local(sight.world.calendar, sight.now).date()
    first = min(max(first_on or today, today), today + FARTHEST)
    laid, plan = planned.laid, planned.plan
    days = _Days(sight, planned, first + timedelta(days=DAYS_SHOWN), reasons)
    jobs = job_dates(sight, laid, plan)
    return PlanView(
        at=sight.now,
        first_on=first,
        today=today,
        days=tuple(days.row(first + timedelta(days=n), jobs) for n in range(DAYS_SHOWN)),
        jobs=jobs,
        left=tuple(left_of(sight, planned)),
        missed=tuple(missed_of(sight, planned)),
        people=tuple(days.people.items()),
        made_at=planned.made_at,
        proven=plan.proven,
        by=plan.by,
        number=planned.number,
        stale=planned.stale,
        late_days=late_days(jobs),
        rule_late_days=late_days(job_dates(sight, laid, planned.rule)),
        last_on=max((on for _, on in days.pieces), default=None),
    )


def rows_of(
    sight: Sight, planned: Planned, first: date, count: int, reasons: Sequence[tuple[OffDays, str]] = ()
) -> tuple[DayRow, ...]:
    """So many days of the plan from one on."""
    days = _Days(sight, planned, first + timedelta(days=count), reasons)
    jobs = job_dates(sight, planned.laid, planned.plan)
    return tuple(days.row(first + timedelta(days=n), jobs) for n in range(count))


class _Days:
    """All that the rows of days are cut from."""

    def __init__(
        self, sight: Sight, planned: Planned, last_on: date, reasons: Sequence[tuple[OffDays, str]]
    ) -> None:
        laid, plan = planned.laid, planned.plan
        names = Names(sight, laid, plan)
        self.sight, self.laid, self.reasons = sight, laid, reasons
        known = {w.person for w in laid.problem.workers}
        self.people = {p.id: p.name for p in sight.world.people.values() if p.id in known}
        self.hours = hours_by_day(sight, laid, last_on)
        self.pieces = pieces_of(sight, laid, plan, names)
        self.runs = runs_of(sight, laid, plan, names)
        self.cures: tuple[Curing, ...] = cures_of(sight, laid, plan, names)
        self.held: tuple[Held, ...] = held_of(laid, plan)
        self.opens = sorted(a for spans in self.hours.values() for a, _ in spans)

    def row(self, on: date, jobs: tuple[JobDate, ...]) -> DayRow:
        """One day."""
        calendar, now = self.sight.world.calendar, self.sight.now
        today, whole = on == local(calendar, now).date(), day_of(calendar, on)
        lanes = tuple(
            self._lane(person, name, on, whole if today else None) for person, name in self.people.items()
        )
        works = any(each.hours for each in lanes)
        return DayRow(
            on=on,
            today=today,
            lanes=lanes,
            runs=tuple(self.runs.get(on, ())),
            night=self._night(tuple(each.hours for each in lanes)) if works else None,
            cures=tuple(c for c in self.cures if whole[0] <= c.since < whole[1]),
            clamps=in_use(self.laid, self.held, whole),
            dues=tuple(_dues(jobs, on)),
            closed=None if works else self._reason(None, on),
            away=tuple(self._away(on)) if works else (),
            extra=tuple(self.people[p] for p in self._extra(on)),
        )

    def _lane(self, person: int, name: str, on: date, done: Span | None) -> Lane:
        hours, pieces = self.hours.get((person, on), ()), self.pieces.get((person, on), ())
        said = () if done is None else done_by(self.sight, person, done)
        return lane(person, name, hours, pieces, self.sight.now, said)

    def _night(self, hours: Sequence[Spans]) -> Night | None:
        closes = max(spans[-1][1] for spans in hours if spans)
        opens = next((at for at in self.opens if at >= closes), None)
        if opens is None or opens == closes:
            return None
        night: Span = (closes, opens)
        return Night(closes, opens, through(self.cures, night))

    def _reason(self, person: int | None, on: date) -> str | None:
        said = [
            words for off, words in self.reasons if off.person == person and off.first_on <= on <= off.last_on
        ]
        return said[0] if said else None

    def _away(self, on: date) -> Iterator[tuple[str, str]]:
        for person, name in self.people.items():
            reason = self._reason(person, on)
            if reason is not None:
                yield name, reason

    def _extra(self, on: date) -> Iterator[int]:
        said = [o.person for o in self.sight.world.calendar.overtime if o.on == on]
        return (p for p in self.people if p in said or None in said)


def _dues(jobs: Sequence[JobDate], on: date) -> Iterator[DueHere]:
    for line in jobs:
        if line.promised_on == on:
            yield DueHere(line, ready=False)
        elif line.late and line.ready_on == on:
            yield DueHere(line, ready=True)


def left_of(sight: Sight, planned: Planned) -> Iterator[NotPlanned]:
    """What is not in the plan and why: decisions and waits first, then what no plan could hold."""
    for told in planned.laid.untold:
        yield _said(sight, told.job, () if told.stage is None else (told.stage,), told.sentence)
    for left in planned.plan.left:
        stage = sight.world.stages[planned.laid.problem.tasks[left.task].stage]
        yield _said(sight, stage.job, (stage.id,), left.sentence)


def missed_of(sight: Sight, planned: Planned) -> Iterator[NotPlanned]:
    """The waits that are too long in this plan."""
    for missed in planned.plan.missed:
        stage = sight.world.stages[planned.laid.problem.tasks[missed.task].stage]
        sentence = missed.sentence or _missed_words(sight, planned, missed)
        yield _said(sight, stage.job, (stage.id,), sentence)


def _missed_words(sight: Sight, planned: Planned, missed: Missed) -> str:
    tasks, stages = planned.laid.problem.tasks, sight.world.stages
    name, before = stages[tasks[missed.task].stage].name, stages[tasks[missed.after].stage].name
    return f"{name} comes {missed.late_min} minutes too late after {before}."


def _said(sight: Sight, job: int | None, stages: tuple[int, ...], sentence: str) -> NotPlanned:
    tag = sight.world.jobs[job].tag if job is not None and job in sight.world.jobs else ""
    return NotPlanned(job, tag, stages, sentence.removeprefix(f"{tag} ") if tag else sentence)
