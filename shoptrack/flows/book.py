"""Entries of the log to the lines of a paper book: who, when, what, struck or moved and by whom."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.shapes import Entry, LogLine, World
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.said import WORDS as DONE


@dataclass(frozen=True, slots=True)
class BookLine:
    """One line: the instant it counts at, and ``first_at`` where it stood before somebody moved it.

    ``parts`` are the words; a number of minutes or cents among them is left to the page. ``struck_by`` is the
    name of who struck it ("somebody" where nobody said), empty while it counts.
    """

    id: str
    kind: str
    at: datetime
    who: int | None
    person: str
    what: str
    stages: tuple[str, ...]
    others: tuple[str, ...]
    details: tuple[str, ...]
    minutes: float | None
    value_c: float | None
    cents: int | None
    until: datetime | None
    text: str
    note: str
    struck: bool
    struck_by: str
    first_at: datetime | None
    moves: bool
    mine: bool


def book_of(sight: Sight, job: int) -> tuple[BookLine, ...]:
    """The lines that speak of a job, oldest first, by the instants they count at.

    Gives struck lines too, in their place. Empty: nothing was ever logged on it.
    """
    return lines_of(sight.world, sight.lines(job), job)


def lines_of(world: World, lines: Sequence[LogLine], job: int | None = None) -> tuple[BookLine, ...]:
    """Lines of the log in words: of one job, or of all there are, each stage with the tag of its job then."""
    by_id = {line.entry.id: line for line in lines}
    return tuple(_line(world, job, line, by_id) for line in lines)


def _line(world: World, job: int | None, line: LogLine, by_id: Mapping[str, LogLine]) -> BookLine:
    e = line.entry
    own = [world.stages[s] for s in e.stages if s in world.stages]
    tagged = {s.id: f"{world.jobs[s.job].tag} {s.name}" for s in own}
    whole = [world.jobs[e.job].tag] if job is None and e.job is not None and e.job in world.jobs else []
    striker = by_id.get(line.struck_by)
    return BookLine(
        id=e.id,
        kind=e.kind,
        at=line.at,
        who=e.person,
        person=_name(world, e.person),
        what=_what(world, e),
        stages=tuple(s.name if job is not None else tagged[s.id] for s in own if job in (None, s.job))
        + tuple(whole),
        others=tuple(tagged[s.id] for s in own if job is not None and s.job != job),
        details=_details(world, e, by_id),
        minutes=e.minutes,
        value_c=e.value_c,
        cents=e.cents,
        until=e.to_at if e.kind != "retime" else None,
        text=e.text,
        note=line.note,
        struck=bool(line.struck_by),
        struck_by=_name(world, striker.entry.person) or "somebody" if striker else "",
        first_at=e.at if line.moved_by else None,
        moves=e.kind not in ("strike", "retime", "answer"),
        mine=not own or job is None or any(s.job == job for s in own),
    )


def _name(world: World, person: int | None) -> str:
    found = world.people.get(person) if person is not None else None
    return found.name if found else ""


WHAT: Mapping[str, str] = {
    "start": "start",
    "spread": "glue spread",
    "closed": "closed",
    "round": "round done",
    "pause": "pause",
    "finish": "done",
    "unclamp": "clamps off",
    "tended": "seen to",
    "help": "had help at",
    "mend": "mended",
    "spoil": "spoiled",
    "answer": "answer",
    "retime": "moved a line",
    "strike": "struck a line",
    "put-aside": "put aside",
    "take-up": "taken up again",
    "recount": "clamps counted",
    "temperature": "temperature read",
    "note": "note",
    "edge": "an edge",
}
"""How each kind of entry is written in the book."""


def _what(world: World, e: Entry) -> str:
    """What an entry says was done; of an edge with the names of tool and edge."""
    done = DONE.get(e.choice) if e.kind == "edge" else None  # type: ignore[call-overload]
    if done is None:
        return WHAT.get(e.kind, e.kind)
    edge = world.edges.get(e.edge or 0)
    named = [world.tools.get(e.tool or 0, "a tool"), *([edge.name] if edge is not None else [])]
    return f"{', '.join(named)}: {done}"


def _details(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> tuple[str, ...]:
    said = [*(f"{name}: {value}" if name else value for name, value in _words(e) if value)]
    more = DETAILS.get(e.kind)
    return tuple(said + (more(world, e, by_id) if more else []))


def _words(e: Entry) -> tuple[tuple[str, str], ...]:
    counted = e.kind in ("closed", "round", "finish", "unclamp") and e.count is not None
    return (
        ("", f"{e.count:g}" if counted else ""),
        ("", "insisted" if e.insisted else ""),
        ("", "the machine goes on" if e.goes_on else ""),
        ("", e.choice if e.kind in ("tended", "answer") else ""),
        ("", e.reason),
        ("told", e.told),
    )


def _spoil(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    back = world.stages.get(e.way_back or 0)
    return [f"{e.count or 0:g} of {e.out_of or 0:g}", f"from {back.name}" if back else "", e.cause]


def _help(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    return [f"by {_name(world, e.helper)}"]


def _of(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    about = by_id.get(e.of or "")
    if about is None:
        return []
    who = _name(world, about.entry.person)
    return [f"“{who + ': ' if who else ''}{_what(world, about.entry)}”"]


def _counted(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    pool = world.pools.get(e.pool or 0)
    return [f"{e.count or 0:g} of the {pool.name}" if pool else f"{e.count or 0:g}"]


def _read(world: World, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    room = world.rooms.get(e.room or 0)
    return [room.name] if room else []


DETAILS: Mapping[str, Callable[[World, Entry, Mapping[str, LogLine]], list[str]]] = {
    "spoil": _spoil,
    "help": _help,
    "recount": _counted,
    "temperature": _read,
    "strike": _of,
    "retime": _of,
    "answer": _of,
}
