"""A room's readings and its usual warmth to the temperature the wood was at, instant by instant."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

from shoptrack.engine import hours
from shoptrack.engine.shapes import Calendar, Reading, Room, RoomProfile, Warmth, in_force

FADE = timedelta(hours=4)
"""Readings further apart than this say nothing of the time between, and a difference fades over it."""

_DAY = timedelta(days=1)


class Piece(NamedTuple):
    """A stretch over which the temperature runs in a straight line from ``start_c`` to ``end_c``."""

    start: datetime
    end: datetime
    start_c: float
    end_c: float
    by: Literal["between readings", "usual", "usual, shifted"]


def _heated_on(profile: RoomProfile, calendar: Calendar, on: date) -> tuple[datetime, datetime] | None:
    """When the room is heated on a local day; past midnight where the times say so, None on a day off."""
    if not hours.day_spans(calendar, None, on):
        return None
    off_on = on if profile.heated_from < profile.heated_until else on + _DAY
    return (
        hours.instant(calendar, on, profile.heated_from),
        hours.instant(calendar, off_on, profile.heated_until),
    )


@lru_cache(maxsize=4096)
def _usual_day(
    calendar: hours.Same[Calendar], room: hours.Same[Room], on: date
) -> tuple[tuple[datetime, datetime, float], ...]:
    """The usual temperature of one local day as level stretches."""
    midnight, next_midnight = (hours.instant(calendar.it, d, time(0)) for d in (on, on + _DAY))
    changes = [at for at, _ in room.it.profiles if midnight < at < next_midnight]
    edges = {midnight, next_midnight, *changes}
    heated: dict[datetime, list[tuple[datetime, datetime]]] = {}
    for at in (midnight, *changes):
        profile = in_force(room.it.profiles, at)
        found = (_heated_on(profile, calendar.it, d) for d in (on - _DAY, on))
        heated[at] = [span for span in found if span is not None]
        edges |= {edge for span in heated[at] for edge in span if midnight < edge < next_midnight}
    return tuple(
        (a, b, _level(room.it, on, a, heated[max(at for at in heated if at <= a)]))
        for a, b in pairwise(sorted(edges))
    )


def _level(room: Room, on: date, at: datetime, heated: list[tuple[datetime, datetime]]) -> float:
    profile = in_force(room.profiles, at)
    is_heated = any(a <= at < b for a, b in heated)
    return (profile.heated_c if is_heated else profile.unheated_c)[on.month - 1]


def _usual(
    room: Room, calendar: Calendar, start: datetime, end: datetime
) -> Iterator[tuple[datetime, datetime, float]]:
    """Level stretches of the room's usual temperature, clipped to [start, end)."""
    on, last_on = hours.local(calendar, start).date(), hours.local(calendar, end).date()
    same, same_room = hours.Same(calendar), hours.Same(room)
    while on <= last_on:
        for a, b, c in _usual_day(same, same_room, on):
            if b > start and a < end:
                yield max(a, start), min(b, end), c
        on += _DAY


def _usual_c(room: Room, calendar: Calendar, at: datetime) -> float:
    return next(_usual(room, calendar, at, at + timedelta(minutes=1)))[2]


def _stretches(
    readings: Sequence[Reading], start: datetime, end: datetime
) -> Iterator[tuple[datetime, datetime, Reading | None, Reading | None]]:
    """[start, end) by what is known of it: between two readings, soon after the first, or neither."""
    first = bisect_right(readings, start, key=lambda reading: reading.at)
    last = readings[first - 1] if first else None
    for coming in (*readings[first:], None):
        stop = end if coming is None else min(coming.at, end)
        if last is not None and coming is not None and coming.at - last.at <= FADE:
            yield start, stop, last, coming
        else:
            faded = start if last is None else min(max(start, last.at + FADE), stop)
            yield start, faded, last, None
            yield faded, stop, None, None
        start, last = stop, coming
        if stop >= end:
            return


def _between(a: datetime, b: datetime, last: Reading, coming: Reading) -> Piece:
    whole = (coming.at - last.at).total_seconds()
    start_c, end_c = (last.c + (coming.c - last.c) * (at - last.at).total_seconds() / whole for at in (a, b))
    return Piece(a, b, start_c, end_c, "between readings")


def _faded(last: Reading, usual_c: float, at: datetime) -> float:
    """What is left of a reading's difference from the usual."""
    return (last.c - usual_c) * (1 - (at - last.at) / FADE)


def pieces(
    room: Room, readings: Sequence[Reading], calendar: Calendar, start: datetime, end: datetime
) -> Iterator[Piece]:
    """The temperature of a room between two instants, as straight lines that follow each other.

    Takes: that room's readings, already judged plausible, oldest first.
    Gives: pieces that cover [start, end) without a gap.
    Method: straight between readings at most four hours apart; otherwise the room's usual temperature by
    month and heated hours, moved by the last reading's difference from it, which fades over four hours.
    """
    for a, b, last, coming in _stretches(readings, start, end):
        if a >= b:
            continue
        if last is not None and coming is not None:
            yield _between(a, b, last, coming)
            continue
        then_c = 0.0 if last is None else _usual_c(room, calendar, last.at)
        for p, q, c in _usual(room, calendar, a, b):
            if last is None:
                yield Piece(p, q, c, c, "usual")
            else:
                yield Piece(p, q, c + _faded(last, then_c, p), c + _faded(last, then_c, q), "usual, shifted")


def warmth(room: Room, readings: Sequence[Reading], calendar: Calendar, at: datetime) -> Warmth:
    """The temperature of a room at an instant, and where the number comes from.

    Takes: that room's readings, oldest first. Gives: °C. Method: as ``pieces``.
    """
    now = next(pieces(room, readings, calendar, at, at + timedelta(minutes=1)))
    is_read = any(reading.at == at for reading in readings)
    return Warmth(now.start_c, "read" if is_read else now.by)
