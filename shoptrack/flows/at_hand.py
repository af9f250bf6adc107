"""What one tap had to read of the log and the shop → what the next needs, without reading it again."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Entry, Replayed, World
from shoptrack.store import log, snapshot
from shoptrack.store.db import Head, Store
from shoptrack.store.known import stages_of

REACH = timedelta(days=6)
"""An entry this much older than the newest may need more of the log; the log is read a week back at least."""
MOST_ADDED = 500


@dataclass(frozen=True)
class AtHand:
    """The entries and the world that replay of ``jobs`` needs, as of one head of the database.

    ``jobs`` are all open ones and those that were asked for; of others only what was done meanwhile is here.
    ``state`` is what replay last said of them.
    """

    head: Head
    entries: tuple[Entry, ...]
    world: World
    jobs: frozenset[int]
    added: int = 0
    state: Replayed | None = None

    def open_and(self, jobs: Collection[int]) -> frozenset[int]:
        """The open jobs, and those of ``jobs`` that are here."""
        known = self.world.jobs
        return frozenset(j for j in self.jobs if j in jobs or known[j].closed_at is None)

    def newest_at(self) -> datetime:
        """The newest instant that any of the entries was tapped or counts at; pages are made for it next."""
        return max(max(e.at, e.tapped_at or e.at) for e in self.entries)

    def with_new(self, entries: Sequence[Entry], head: Head) -> "AtHand | None":
        """The same with new entries at the end, or None where they need more than is here."""
        here = {e.id: e for e in (*self.entries, *entries)}
        newest = max((e.at for e in self.entries), default=None)
        if newest is None or self.head != head or self.added + len(entries) > MOST_ADDED:
            return None
        if not all(self._covers(e, here) and e.at > newest - REACH for e in entries):
            return None
        added = self.added + len(entries)
        return replace(self, entries=(*self.entries, *entries), added=added, state=None)

    def _covers(self, entry: Entry, here: dict[str, Entry]) -> bool:
        """Whether all that an entry speaks of belongs to open jobs and is here."""
        if entry.of is not None:
            # moves of old work are rare, and reach further than this looks
            return entry.kind != "retime" and entry.of in here and self._covers(here[entry.of], here)
        jobs = {self.world.stages[s].job for s in entry.stages if s in self.world.stages} | (
            {entry.job} if entry.job is not None else set()
        )
        known = all(s in self.world.stages for s in entry.stages) and jobs <= self.world.jobs.keys()
        return known and all(self.world.jobs[j].closed_at is None for j in jobs)


_AT_HAND: WeakKeyDictionary[Store, AtHand] = WeakKeyDictionary()


def left_for(store: Store) -> AtHand | None:
    """What the last tap left."""
    return _AT_HAND.get(store)


def leave_for(store: Store, at_hand: AtHand | None) -> None:
    """Leave it for the next tap; it is of use only while the head is still the one it says."""
    if at_hand is None:
        _AT_HAND.pop(store, None)
    else:
        _AT_HAND[store] = at_hand


def read_at_hand(session: Session, head: Head, jobs: Collection[int] = ()) -> AtHand:
    """All that replay of the open jobs needs, and of ``jobs``, as this session sees it."""
    lines = log.open_log(session, jobs)
    world = snapshot.world(session, {s for line in lines for s in line.stages} | stages_of(session, jobs))
    own = {j for j, job in world.jobs.items() if job.closed_at is None or j in jobs}
    return AtHand(head, tuple(lines), world, frozenset(own))


def only(world: World, jobs: Collection[int]) -> World:
    """The world with these jobs and their stages only."""
    return replace(
        world,
        jobs={j: job for j, job in world.jobs.items() if j in jobs},
        stages={s: stage for s, stage in world.stages.items() if stage.job in jobs},
    )
