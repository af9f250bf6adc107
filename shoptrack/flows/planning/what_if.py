"""Changes that are only thought of → what they do to every promised date, and what moves today."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from shoptrack.engine.hours import local
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.shapes import Overtime
from shoptrack.engine.shapes.planned import Plan
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import (
    Change,
    DayOff,
    ExtraPerson,
    JobFirst,
    MoreClamps,
    PinStage,
    with_changes,
)
from shoptrack.flows.planning.dates import JobDate, job_dates, late_days, working_days
from shoptrack.flows.planning.laid import Laid, lay
from shoptrack.flows.planning.lanes import Names, pieces_of
from shoptrack.flows.planning.plan import Planned, keys_of, merged
from shoptrack.flows.shopfloor import Sight

MOVES = 60
"""So many moves are tried on either side: one question has one answer, however busy the machine."""
MOST_CHANGES = 8
FARTHEST = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class JobMoved:
    """A job whose day, or whose keeping of it, would be another; ``days`` are working days later (earlier:
    below nought), None where it would be planned on one side alone.
    """

    was: JobDate
    would: JobDate
    days: int | None


@dataclass(frozen=True, slots=True)
class TodayMoved:
    """What a person would do today in place of what they are to do now: tags and stages in order."""

    name: str
    was: tuple[str, ...]
    would: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """The plan with the changes against the plan without; ``same`` jobs stay on their day.

    Sums are working days late over all jobs. ``left`` says what would not be planned any more. ``now`` is the
    plan without the changes, as it was bettered to be compared.
    """

    moved: tuple[JobMoved, ...]
    same: int
    late_was: int
    late_would: int
    jobs_late_was: int
    jobs_late_would: int
    missed_was: int
    missed_would: int
    today: tuple[TodayMoved, ...]
    left: tuple[str, ...]
    now: Plan


@dataclass(frozen=True, slots=True)
class _Side:
    """One of the two plans, with the shop that it is for."""

    sight: Sight
    laid: Laid
    plan: Plan
    lines: tuple[JobDate, ...]


def what_if(sight: Sight, planned: Planned, changes: Sequence[Change]) -> Compared:
    """What some changes would do. Nothing is written.

    Method: both sides are decoded from the order that is shown and bettered by the same number of moves, so
    that neither is compared at its worse. Raises BadInput for what is not in this shop or lies too far away.
    """
    refuse_unknown(sight, changes)
    was = _side(sight, planned.laid, planned, ())
    laid = lay(sight, changes)
    would = _side(replace(sight, world=with_changes(sight.world, changes)), laid, planned, changes)
    pairs = {line.job: line for line in would.lines}
    found = [JobMoved(a, pairs[a.job], _between(sight, a, pairs[a.job])) for a in was.lines if a.job in pairs]
    moved = [m for m in found if m.days != 0 or m.was.late != m.would.late]
    return Compared(
        moved=tuple(sorted(moved, key=lambda m: (-abs(m.days or 0), m.was.tag))),
        same=len(found) - len(moved),
        late_was=late_days(was.lines),
        late_would=late_days(would.lines),
        jobs_late_was=sum(line.late for line in was.lines),
        jobs_late_would=sum(line.late for line in would.lines),
        missed_was=len(was.plan.missed),
        missed_would=len(would.plan.missed),
        today=tuple(_today(was, would)),
        left=_left(was, would),
        now=was.plan,
    )


def _side(sight: Sight, laid: Laid, planned: Planned, changes: Sequence[Change]) -> _Side:
    # imported here: the search loads numpy, which no other page of the plan needs
    import numpy as np

    from shoptrack.engine.schedule.search import search

    problem = laid.problem
    if not changes:
        first = planned.plan
    else:
        order = merged(keys_of(planned.laid.problem, planned.plan), problem)
        first = min(build(problem, order), best_rule(problem), key=lambda plan: plan.worth)
    plan = search(problem, first, np.random.default_rng(0), _never, MOVES) if problem.tasks else first
    return _Side(sight, laid, plan, job_dates(sight, laid, plan))


def _never() -> bool:
    return False


def _between(sight: Sight, was: JobDate, would: JobDate) -> int | None:
    if was.ready_on is None or would.ready_on is None:
        return 0 if was.ready_on == would.ready_on else None
    return working_days(sight.world.calendar, was.ready_on, would.ready_on)


def _today(was: _Side, would: _Side) -> list[TodayMoved]:
    before, after = _on_today(was), _on_today(would)
    people = [p for p in would.sight.world.people.values() if not p.retired]
    found = [TodayMoved(p.name, before.get(p.id, ()), after.get(p.id, ())) for p in people]
    return [moved for moved in found if moved.was != moved.would]


def _on_today(side: _Side) -> Mapping[int, tuple[str, ...]]:
    """What each person is given today, in order."""
    today = local(side.sight.world.calendar, side.sight.now).date()
    names = Names(side.sight, side.laid, side.plan)
    return {
        person: tuple(" ".join(filter(None, (p.named.tag, p.named.name, p.named.part))) for p in pieces)
        for (person, on), pieces in pieces_of(side.sight, side.laid, side.plan, names).items()
        if on == today
    }


def _left(was: _Side, would: _Side) -> tuple[str, ...]:
    known = {left.sentence for left in was.plan.left}
    return tuple(left.sentence for left in would.plan.left if left.sentence not in known)


def refuse_unknown(sight: Sight, changes: Sequence[Change]) -> None:
    """Raise BadInput, with the field, where a change speaks of what is not here or of a day that can't be."""
    if len(changes) > MOST_CHANGES:
        raise BadInput(f"That is more than {MOST_CHANGES} changes at once.")
    today = local(sight.world.calendar, sight.now).date()
    for change in changes:
        _refuse(sight, change, today)


def _refuse(sight: Sight, change: Change, today: date) -> None:
    world = sight.world
    match change:
        case DayOff(person, on):
            _refuse_day(on, today, "off_on")
            _refuse_missing(person, world.people, "off_person")
        case Overtime(person, on, opens, closes):
            _refuse_day(on, today, "more_on")
            _refuse_missing(person, world.people, "more_person")
            if opens >= closes:
                raise BadInput("It ends before it begins.", "more_closes")
        case ExtraPerson(from_on, until_on):
            _refuse_day(from_on, today, "one_from")
            if not from_on <= until_on <= from_on + FARTHEST:
                raise BadInput("The last day is before the first, or more than a year after it.", "one_until")
        case MoreClamps(pool, _):
            _refuse_missing(pool, world.pools, "clamps_pool")
        case JobFirst(job):
            _refuse_missing(job, world.jobs, "first_job")
        case PinStage(stage, on, person):
            _refuse_missing(stage, sight.standings, "pin_stage")
            _refuse_day(on, today, "pin_on")
            _refuse_missing(person, world.people, "pin_person")
        case _:
            raise BadInput("That is not asked here.")


def _refuse_day(on: date, today: date, field: str) -> None:
    if on < today:
        raise BadInput("That day is over.", field)
    if on > today + FARTHEST:
        raise BadInput("That day is more than a year away.", field)


def _refuse_missing(what: int | None, among: Mapping[int, object], field: str) -> None:
    if what is not None and what not in among:
        raise BadInput("That is not in this shop any more: choose again.", field)
