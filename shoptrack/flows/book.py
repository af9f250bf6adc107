"""Entries of the log to the lines of a paper book: who, when, what, struck or moved and by whom."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.shapes import Entry, LogLine
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True, slots=True)
class BookLine:
    """One line: the instant it counts at, and ``first_at`` where it stood before somebody moved it.

    ``parts`` are the words; a number of minutes or cents among them is left to the page. ``struck_by`` is the
    name of who struck it ("somebody" where nobody said), empty while it counts.
    """

    id: str
    at: datetime
    person: str
    what: str
    stages: tuple[str, ...]
    others: tuple[str, ...]
    details: tuple[str, ...]
    minutes: float | None
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
    lines = sight.lines(job)
    by_id = {line.entry.id: line for line in lines}
    return tuple(_line(sight, job, line, by_id) for line in lines)


def _line(sight: Sight, job: int, line: LogLine, by_id: Mapping[str, LogLine]) -> BookLine:
    e = line.entry
    own = [sight.world.stages[s] for s in e.stages if s in sight.world.stages]
    striker = by_id.get(line.struck_by)
    return BookLine(
        id=e.id,
        at=line.at,
        person=_name(sight, e.person),
        what=WHAT.get(e.kind, e.kind),
        stages=tuple(s.name for s in own if s.job == job),
        others=tuple(f"{sight.world.jobs[s.job].tag} {s.name}" for s in own if s.job != job),
        details=_details(sight, e, by_id),
        minutes=e.minutes,
        cents=e.cents,
        until=e.to_at if e.kind != "retime" else None,
        text=e.text,
        note=line.note,
        struck=bool(line.struck_by),
        struck_by=_name(sight, striker.entry.person) or "somebody" if striker else "",
        first_at=e.at if line.moved_by else None,
        moves=e.kind not in ("strike", "retime", "answer"),
        mine=not own or any(s.job == job for s in own),
    )


def _name(sight: Sight, person: int | None) -> str:
    found = sight.world.people.get(person) if person is not None else None
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
    "help": "help",
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
}
"""How each kind of entry is written in the book."""


def _details(sight: Sight, e: Entry, by_id: Mapping[str, LogLine]) -> tuple[str, ...]:
    said = [*(f"{name}: {value}" if name else value for name, value in _words(e) if value)]
    more = DETAILS.get(e.kind)
    return tuple(said + (more(sight, e, by_id) if more else []))


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


def _spoil(sight: Sight, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    back = sight.world.stages.get(e.way_back or 0)
    return [f"{e.count or 0:g} of {e.out_of or 0:g}", f"from {back.name}" if back else "", e.cause]


def _help(sight: Sight, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    return [f"by {_name(sight, e.helper)}"]


def _of(sight: Sight, e: Entry, by_id: Mapping[str, LogLine]) -> list[str]:
    about = by_id.get(e.of or "")
    if about is None:
        return []
    who = _name(sight, about.entry.person)
    return [f"“{who + ': ' if who else ''}{WHAT.get(about.entry.kind, about.entry.kind)}”"]


DETAILS: Mapping[str, Callable[[Sight, Entry, Mapping[str, LogLine]], list[str]]] = {
    "spoil": _spoil,
    "help": _help,
    "strike": _of,
    "retime": _of,
    "answer": _of,
}
