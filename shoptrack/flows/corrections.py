"""One person's taps of some days → lines to correct; what was wrong with one → taps that put it right."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import groupby
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.engine import hours
from shoptrack.engine.replay import book_lines
from shoptrack.engine.shapes import Calendar, Entry, LogLine, World
from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.book import BookLine, lines_of
from shoptrack.flows.hand_over import OTHERS, hand_over
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log, snapshot
from shoptrack.store.db import Store
from shoptrack.store.tables import EntryRow
from shoptrack.store.taps import taps_of

DAYS_SHOWN = 3
LOOK_BACK = timedelta(days=3)
"""What somebody has in hand was begun within so many days of a tap, or it is not asked about any more."""


@dataclass(frozen=True, slots=True)
class TapDay:
    """A local day with its lines, the last first."""

    on: date
    lines: tuple[BookLine, ...]


@dataclass(frozen=True, slots=True)
class TapsView:
    """A person's taps of some days, the last day first. ``earlier_on`` is the last day of those before.

    ``retired``: they have no bench any more.
    """

    person: int
    name: str
    retired: bool
    others: tuple[tuple[int, str], ...]
    days: tuple[TapDay, ...]
    last_on: date
    earlier_on: date


@dataclass(frozen=True, slots=True)
class Wrong:
    """What was wrong with an entry: ``what`` to do (strike, move, was, lunch, until), by whom it is said.

    ``clock`` and ``on`` are by the shop's wall, the day the entry's own where it is not said; ``to`` is whose
    it was. ``id`` is the form's own.
    """

    of: str
    what: str
    by: int | None
    id: str
    clock: time | None = None
    on: date | None = None
    to: int | None = None


def taps_view(store: Store, person: int, last_on: date | None, now: datetime) -> TapsView:
    """A person's taps of the three days up to one (today where none is said). Raises NotFound."""
    sight = gather(store, now)
    who = sight.world.people.get(person)
    if who is None:
        raise NotFound("Nobody of that number works here.")
    calendar = sight.world.calendar
    today = hours.local(calendar, now).date()
    last = min(last_on or today, today)
    first = last - timedelta(days=DAYS_SHOWN - 1)
    since, until = (hours.instant(calendar, on, time(0)) for on in (first, last + timedelta(days=1)))
    with store.reading() as session:
        entries = taps_of(session, person, since, until)
        world = _world_with(session, entries)
    lines = book_lines(entries, sight.replayed.notes)
    shown = tuple(_shown(lines, person, since, until))
    in_words = lines_of(world, lines)
    return TapsView(
        person=person,
        name=who.name,
        retired=who.retired,
        others=tuple((p.id, p.name) for p in world.people.values() if p.id != person and not p.retired),
        days=tuple(_days(calendar, [line for line in in_words if line.id in shown])),
        last_on=last,
        earlier_on=first - timedelta(days=1),
    )


def _world_with(session: Session, entries: list[Entry]) -> World:
    """The shop with every job that these entries speak of, closed ones too, and no other."""
    return snapshot.world_around(session, {s for e in entries for s in e.stages})


def _shown(lines: tuple[LogLine, ...], person: int, since: datetime, until: datetime) -> Iterator[str]:
    """The person's own lines in the stretch, and whatever strikes, moves or answers one of them."""
    own = {
        line.entry.id
        for line in lines
        if line.entry.person == person
        and (since <= line.at < until or since <= (line.entry.tapped_at or line.entry.at) < until)
    }
    speaking = {line.entry.id for line in lines if line.entry.of in own}
    yield from own | speaking | {line.entry.id for line in lines if line.entry.of in speaking}


def _days(calendar: Calendar, lines: list[BookLine]) -> Iterator[TapDay]:
    newest = sorted(lines, key=lambda line: line.at, reverse=True)
    for on, group in groupby(newest, key=lambda line: hours.local(calendar, line.at).date()):
        yield TapDay(on, tuple(group))


def correct(store: Store, wrong: Wrong, now: datetime) -> None:
    """Put a tap right by taps that the log keeps beside it; the same form sent twice does it once.

    Raises NotFound for an entry that is not there, BadInput for a time that is missing or can't be, Refused
    where the log does not take it.
    """
    with store.reading() as session:
        lines = {
            line.entry.id: line for line in book_lines(log.log_about(session, EntryRow.id == wrong.of), {})
        }
        line = lines.get(wrong.of)
        if line is None:
            raise NotFound("That line is not in the book.")
        world = _world_with(session, [line.entry])
        start = _start_of(session, line) if wrong.what in ("lunch", "until") else ""
    if line.struck_by == wrong.id:
        return  # by this very form
    if line.struck_by and wrong.what != "strike":
        raise Refused("That line was struck; strike what struck it first.")
    if wrong.what == "was":
        _give(store, wrong, line.entry, now)
    else:
        _tap(store, wrong, _said(wrong, line, world.calendar, start, now), now)


def _give(store: Store, wrong: Wrong, entry: Entry, now: datetime) -> None:
    if entry.kind in OTHERS:
        raise Refused("Who struck or moved a line can’t be changed; strike it, and have it done again.")
    if wrong.to is None:
        raise BadInput("Whose it was, is missing.", "was")
    hand_over(store, wrong.of, wrong.to, wrong.id, now)


def _tap(store: Store, wrong: Wrong, said: dict[str, Any], now: datetime) -> None:
    answer = tap(store, id=wrong.id, person=wrong.by, now=now, **said)
    if answer.status == "set aside":
        raise Refused(f"This could not be taken: {answer.reason}")


def _said(wrong: Wrong, line: LogLine, calendar: Calendar, start: str, now: datetime) -> dict[str, Any]:
    """What the tap says that puts it right."""
    if wrong.what == "strike":
        return {"kind": "strike", "of": wrong.of}
    if wrong.what == "lunch":
        return {"kind": "answer", "of": start, "asks": "lunch", "choice": "worked-through"}
    to_at = _instant(wrong, line, calendar, now)
    if wrong.what == "until":
        if to_at <= line.at and wrong.of == start:
            raise BadInput("Worked until before it was begun?", "clock")
        return {"kind": "answer", "of": start, "asks": "closing", "choice": "worked-until", "to_at": to_at}
    if wrong.what != "move":
        raise BadInput("What was wrong with it, is missing.", "do")
    if line.entry.kind in (*OTHERS, "answer"):
        raise Refused("What strikes, moves or answers a line has no time of its own; it can be struck.")
    return {"kind": "retime", "of": wrong.of, "to_at": to_at}


def _instant(wrong: Wrong, line: LogLine, calendar: Calendar, now: datetime) -> datetime:
    if wrong.clock is None:
        raise BadInput("Give the time it really was.", "clock")
    on = wrong.on or hours.local(calendar, line.at).date()
    at = hours.instant(calendar, on, wrong.clock)
    if at > now:
        raise BadInput("That time is still to come.", "clock")
    return at


def _start_of(session: Session, line: LogLine) -> str:
    """The start that a person's tap belongs to: itself, or their last before it that was not struck."""
    if line.entry.kind == "start":
        return line.entry.id
    if line.entry.person is None:
        raise Refused("Nobody said whose tap that was.")
    entries = taps_of(session, line.entry.person, line.at - LOOK_BACK, line.at)
    starts = [
        other.entry.id
        for other in book_lines(entries, {})
        if other.entry.kind == "start"
        and other.entry.person == line.entry.person
        and not other.struck_by
        and other.at <= line.at
    ]
    if not starts:
        raise Refused("Nothing was begun before that tap.")
    return starts[-1]
