"""The log of work and the shop as it was set up → the state of everything at an instant."""

from collections.abc import Collection, Iterable
from datetime import datetime
from itertools import takewhile

from shoptrack.engine.replay.effective import book_lines, live_entries
from shoptrack.engine.replay.reader import Reader
from shoptrack.engine.shapes import Entry, Replayed, World

__all__ = ["Reader", "book_lines", "live_entries", "replay"]


def replay(
    entries: Iterable[Entry], world: World, now: datetime, jobs: Collection[int] | None = None
) -> Replayed:
    """Read the log from its first entry and say how everything stands at ``now``.

    Takes entries in any order, repeats allowed, and the world they speak of; those that count after ``now``
    are not read yet. ``jobs`` (default all of the world) are those whose entries are all here and whose state
    is asked for; of other jobs the log may be partial, and their entries only end stints.
    Gives passes, people, questions, clamps; minutes are within the shop's hours.
    Empty: every stage has its first pass, not begun.
    Method: strikes and retimes first, then one pass over the rest in the order (at, device, seq); minutes are
    counted at the end, because an answer may change the hours of a stint long past.
    """
    reader = Reader(world, jobs)
    reader.read(takewhile(lambda e: e.at <= now, live_entries(entries)))
    return reader.state(now)
