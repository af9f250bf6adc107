"""A change that is only thought of ↔ the letters that carry it in an address; and the words that say it."""

from collections.abc import Callable
from datetime import date, time

from shoptrack.engine.shapes import Overtime, World
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import Change, DayOff, ExtraPerson, JobFirst, MoreClamps, PinStage
from shoptrack.web.forms import FIRST_YEAR, LAST_YEAR

UNREADABLE = "One of the changes in the address can’t be read; it was left out."
MOST_NUMBER = 2**31 - 1


def written(change: Change) -> str:
    """A change as an address carries it."""
    match change:
        case DayOff(person, on):
            return f"off.{_no(person)}.{on}"
        case Overtime(person, on, opens, closes):
            return f"more.{_no(person)}.{on}.{opens:%H%M}.{closes:%H%M}"
        case ExtraPerson(from_on, until_on):
            return f"one.{from_on}.{until_on}"
        case MoreClamps(pool, count):
            return f"clamps.{pool}.{count}"
        case JobFirst(job):
            return f"first.{job}"
        case PinStage(stage, on, person):
            return f"pin.{stage}.{on}.{_no(person)}"
        case _:
            raise ValueError(f"{change} is not asked on this page")


def read(text: str) -> Change:
    """The change that an address carries. Raises BadInput for what is none."""
    kind, *parts = text.split(".")
    maker, count = READ.get(kind, (None, 0))
    if maker is None or len(parts) != count:
        raise BadInput(UNREADABLE)
    try:
        return maker(parts)
    except ValueError as wrong:
        raise BadInput(UNREADABLE) from wrong


READ: dict[str, tuple[Callable[[list[str]], Change], int]] = {
    "off": (lambda said: DayOff(_person(said[0]), _day(said[1])), 2),
    "more": (lambda said: Overtime(_person(said[0]), _day(said[1]), _clock(said[2]), _clock(said[3])), 4),
    "one": (lambda said: ExtraPerson(_day(said[0]), _day(said[1])), 2),
    "clamps": (lambda said: MoreClamps(_number(said[0]), _number(said[1])), 2),
    "first": (lambda said: JobFirst(_number(said[0])), 1),
    "pin": (lambda said: PinStage(_number(said[0]), _day(said[1]), _person(said[2])), 3),
}


def words(change: Change, world: World, day: Callable[[date], str], clock: Callable[[time], str]) -> str:
    """A change as it is said: "Una has Thu 3 Dec off"."""
    match change:
        case DayOff(person, on):
            return f"{_name(world, person)} {'has' if person else 'have'} {day(on)} off"
        case Overtime(person, on, opens, closes):
            works = "works" if person else "work"
            return f"{_name(world, person)} {works} {day(on)} from {clock(opens)} to {clock(closes)} too"
        case ExtraPerson(from_on, until_on):
            until = f" to {day(until_on)}" if until_on != from_on else ""
            return f"somebody more is here, {day(from_on)}{until}"
        case MoreClamps(pool, count):
            return f"{count} more {world.pools[pool].name} {'clamp' if count == 1 else 'clamps'}"
        case JobFirst(job):
            return f"{world.jobs[job].tag} comes first, its date must be kept"
        case PinStage(stage, on, person):
            row = world.stages[stage]
            by = f" by {_name(world, person)}" if person else ""
            return f"{world.jobs[row.job].tag} {row.name} is begun {day(on)}{by}"
        case _:
            raise ValueError(f"{change} is not asked on this page")


def _name(world: World, person: int | None) -> str:
    return "all" if person is None else world.people[person].name


def _no(person: int | None) -> str:
    return "all" if person is None else str(person)


def _person(text: str) -> int | None:
    return None if text == "all" else _number(text)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 10) or not 0 < int(text) <= MOST_NUMBER:
        raise ValueError(text)
    return int(text)


def _day(text: str) -> date:
    found = date.fromisoformat(text)
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise ValueError(text)
    return found


def _clock(text: str) -> time:
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise ValueError(text)
    return time(int(text[:2]), int(text[2:]))
