"""A change that is only thought of → the world as it would be with it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import reduce

from shoptrack.engine.shapes import Aside, Calendar, OffDays, Overtime, Person, Pin, Week, World

EXTRA = -1
"""The number of the first person who is only thought of; further ones count down from it."""

_ALWAYS = date.min
_NO_WORK: tuple[tuple[()], ...] = ((),) * 7


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day on which nobody (``person`` None) or one person works."""

    person: int | None
    on: date


@dataclass(frozen=True, slots=True)
class ExtraPerson:
    """Somebody more, from one day to another, both included, during the shop's hours."""

    from_on: date
    until_on: date
    name: str = "somebody more"


@dataclass(frozen=True, slots=True)
class MoreClamps:
    """So many more clamps of a pool."""

    pool: int
    count: int


@dataclass(frozen=True, slots=True)
class JobFirst:
    """A job whose promise comes before all others."""

    job: int


@dataclass(frozen=True, slots=True)
class PinStage:
    """A stage that shall be begun on a day, by somebody or by anybody who can."""

    stage: int
    on: date
    person: int | None = None


@dataclass(frozen=True, slots=True)
class PutAside:
    """A whole job, or one stage of it, that is left until a day; None: without one, so it is not planned."""

    job: int
    stage: int | None = None
    until_on: date | None = None


Change = DayOff | Overtime | ExtraPerson | MoreClamps | JobFirst | PinStage | PutAside


def with_changes(world: World, changes: Iterable[Change]) -> World:
    """The world as it would be. What is put aside is no part of it: see ``asides_with``.

    Empty: the same world.
    """
    return reduce(_changed, changes, world)


def _changed(world: World, change: Change) -> World:
    match change:
        case DayOff(person, on):
            off = (*world.calendar.off, OffDays(person, on, on))
            return replace(world, calendar=replace(world.calendar, off=off))
        case Overtime():
            overtime = (*world.calendar.overtime, change)
            return replace(world, calendar=replace(world.calendar, overtime=overtime))
        case ExtraPerson():
            return _with_person(world, change)
        case MoreClamps(pool, count):
            return _with_clamps(world, pool, count)
        case JobFirst(job):
            kept = {job: replace(world.jobs[job], must_keep=True)} if job in world.jobs else {}
            return replace(world, jobs={**world.jobs, **kept})
        case PinStage(stage, on, person):
            return replace(world, pins={**world.pins, stage: Pin(stage, on, person)})
        case PutAside():
            return world


def _with_person(world: World, change: ExtraPerson) -> World:
    number = min([EXTRA + 1, *world.people]) - 1
    people = {**world.people, number: Person(number, change.name)}
    own = {**world.calendar.people, number: _weeks(world.calendar, change)}
    return replace(world, people=people, calendar=replace(world.calendar, people=own))


def _weeks(calendar: Calendar, change: ExtraPerson) -> tuple[Week, ...]:
    """No hours but the shop's, from one day to another."""
    by_then = [week for week in calendar.shop if week.from_on <= change.from_on]
    first = max(by_then, key=lambda week: week.from_on, default=calendar.shop[0] if calendar.shop else None)
    if first is None:
        return (Week(_ALWAYS, _NO_WORK),)
    later = [week for week in calendar.shop if change.from_on < week.from_on <= change.until_on]
    gone = Week(change.until_on + timedelta(days=1), _NO_WORK)
    return (Week(_ALWAYS, _NO_WORK), replace(first, from_on=change.from_on), *later, gone)


def _with_clamps(world: World, pool: int, count: int) -> World:
    own = world.pools.get(pool)
    if own is None:
        return world
    more = replace(own, owned=tuple((from_at, max(0, owned + count)) for from_at, owned in own.owned))
    return replace(world, pools={**world.pools, pool: more})


def asides_with(
    asides: Mapping[int, Aside], world: World, changes: Iterable[Change], now: datetime
) -> Mapping[int, Aside]:
    """What is put aside, with what is only thought of."""
    found = dict(asides)
    for change in changes:
        if isinstance(change, PutAside):
            for stage in world.stages.values():
                if stage.job == change.job and change.stage in (None, stage.id):
                    whole = change.stage is None
                    found[stage.id] = Aside(stage.id, now, "", change.until_on, whole_job=whole)
    return found


def first_jobs(changes: Iterable[Change]) -> frozenset[int]:
    """The jobs that come before all others."""
    return frozenset(change.job for change in changes if isinstance(change, JobFirst))
