"""What one tap had to read of the log and the shop → what the next needs, without reading it again."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine.replay import Reader, live_entries
from shoptrack.engine.shapes import Entry, Pass, Replayed, World
from shoptrack.store import log, snapshot
from shoptrack.store.db import Head, Store
from shoptrack.store.known import stages_of

REACH = timedelta(days=6)
"""An entry this much older than the newest may need more of the log; the log is read a week back at least."""
MOST_ADDED = 500
EARLIEST = datetime.min.replace(tzinfo=UTC)


class Bookmark:
    """A reader at the end of some entries: whoever takes it reads on, and for others it is gone."""

    def __init__(self, reader: Reader | None = None) -> None:
        self._turn = Lock()
        self._reader = reader

    def take(self) -> Reader | None:
        """The reader, once."""
        with self._turn:
            reader, self._reader = self._reader, None
            return reader

    def put(self, reader: Reader) -> None:
        """Give it back where it was, at the same entries."""
        with self._turn:
            self._reader = reader


@dataclass(frozen=True)
class AtHand:
    """The entries and the world that replay of ``jobs`` needs, as of one head of the database.

    ``jobs`` are all open ones and those that were asked for; of others only what was done meanwhile is here.
    ``state`` is what replay last said of them. Since the head ``read_for`` nothing but taps was written;
    ``recut`` are the stages of which these changed when tools were at work, each with the last such revision.
    """

    head: Head
    entries: tuple[Entry, ...]
    world: World
    jobs: frozenset[int]
    added: int = 0
    state: Replayed | None = None
    bookmark: Bookmark = field(default_factory=Bookmark, compare=False)
    read_for: Head | None = None
    recut: Mapping[int, int] = field(default_factory=dict)

    def open_and(self, jobs: Collection[int]) -> frozenset[int]:
        """The open jobs, and those of ``jobs`` that are here."""
        known = self.world.jobs
        return frozenset(j for j in self.jobs if j in jobs or known[j].closed_at is None)

    def newest_at(self) -> datetime:
        """The newest instant that any of the entries was tapped or counts at; pages are made for it next."""
        return max((max(e.at, e.tapped_at or e.at) for e in self.entries), default=EARLIEST)

    def changed_since(self, before: "AtHand | None") -> Iterator[Pass]:
        """All passes of the stages that stood otherwise before; all there are, where that is not known."""
        old = before.state.passes if before is not None and before.state is not None else {}
        new = self.state.passes if self.state is not None else {}
        for stage, passes in new.items():
            if old.get(stage) is not passes and old.get(stage) != passes:
                yield from passes

    def with_new(self, entries: Sequence[Entry], head: Head) -> "AtHand | None":
        """The same with new entries at the end, or None where they need more than is here."""
        here = {e.id: e for e in (*self.entries, *entries)}
        newest = max((e.at for e in self.entries), default=None)
        if newest is None or self.head != head or self.added + len(entries) > MOST_ADDED:
            return None
        if not all(self._covers(e, here) and e.at > newest - REACH for e in entries):
            return None
        added = self.added + len(entries)
        whole = (*self.entries, *entries)
        return replace(self, entries=whole, added=added, state=None, bookmark=self._read_on(entries))

    def _read_on(self, entries: Sequence[Entry]) -> Bookmark:
        """The reader of these entries read on through new ones; without it where they correct old ones."""
        reader = self.bookmark.take()
        if reader is None or not reader.follows(entries):
            return Bookmark()
        reader.read(sorted(entries, key=lambda e: e.order))
        return Bookmark(reader)

    def stand_at(self, now: datetime, jobs: frozenset[int]) -> "AtHand":
        """The same with the state of these jobs at an instant, read on where that can be."""
        if self.state is not None and self.state.now == now and self.jobs == jobs:
            return self
        reader = self.bookmark.take()
        if reader is None or reader.jobs != jobs or (reader.last is not None and reader.last[0] > now):
            live = [e for e in live_entries(self.entries) if e.at <= now]
            reader = Reader(self.world, jobs)
            reader.read(live)
        state = reader.state(now)
        if now >= self.newest_at():
            self.bookmark.put(reader)
        return replace(self, jobs=jobs, state=state)

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
    return AtHand(head, tuple(lines), world, frozenset(own), read_for=head)


def only(world: World, jobs: Collection[int]) -> World:
    """The world with these jobs and their stages only."""
    return replace(
        world,
        jobs={j: job for j, job in world.jobs.items() if j in jobs},
        stages={s: stage for s, stage in world.stages.items() if stage.job in jobs},
    )
