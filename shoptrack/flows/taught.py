"""The log → all times that teach, by kind of stage, kept in memory and read on where only the end is new."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.learned import Log
from shoptrack.store import logs
from shoptrack.store.db import Head, Store
from shoptrack.store.logs import EARLIEST, Answer, Logged, Mark

OLD = timedelta(days=14)
"""What was finished this long before the newest time is old: read once, then only counted and summed."""
NIGHT = timedelta(hours=6)
"""Old and new are parted where nothing was finished for so long, so that no group done together is cut."""
MOST_NEW = 300
"""When more is new than this, what became old meanwhile is taken as read."""

Orders = Mapping[int, Mapping[str, int]]
"""Of each pattern its orders, each with how many orders came before it."""


@dataclass(frozen=True, slots=True)
class KindTimes:
    """The times of one kind of stage, oldest first, each with how many earlier orders of its pattern had one.

    Inside one order only the measure counts, so its second stage repeats nothing.
    """

    times: tuple[Logged, ...] = ()
    repeats: tuple[int, ...] = ()
    orders: Orders = field(default_factory=dict)

    def with_more(self, more: Sequence[Logged]) -> "KindTimes":
        """The same and times that were finished later."""
        orders, own = dict(self.orders), dict[int, dict[str, int]]()
        repeats = []
        for one in more:
            if one.pattern is None:
                repeats.append(0)
                continue
            if one.pattern not in own:
                own[one.pattern] = dict(orders.get(one.pattern, {}))
            seen = own[one.pattern]
            repeats.append(seen.setdefault(one.order, len(seen)))
        return KindTimes((*self.times, *more), (*self.repeats, *repeats), orders | own)

    def logs(self, minutes: str, first: int = 0, end: int | None = None) -> list[Log]:
        """The times from one place to another as they teach; ``minutes`` is "hands_min" or "machine_min"."""
        part = zip(self.times[first:end], self.repeats[first:end], strict=True)
        return [
            Log(one.key, taken, one.quantity, one.pattern, repeats, one.counts)
            for one, repeats in part
            if (taken := getattr(one, minutes)) > 0
        ]


NOTHING = KindTimes()


@dataclass(frozen=True, slots=True)
class Taught:
    """All times that teach, by kind; ``mark`` is what they and people's answers were recognised by."""

    kinds: Mapping[int, KindTimes]
    mark: tuple[object, ...]

    def of(self, kind: int) -> KindTimes:
        """The times of one kind. Empty: nothing of it was finished."""
        return self.kinds.get(kind, NOTHING)


@dataclass(frozen=True, slots=True)
class _Read:
    """What was read: the old times, which only change by a correction, and all of them as they stood last."""

    head: Head
    split_at: datetime
    mark: Mark
    said: Mapping[str, Answer]
    old: Mapping[int, KindTimes]
    taught: Taught


def taught(store: Store, session: Session, head: Head) -> Taught:
    """All times that teach, as a session sees them at a head. Empty: nothing was finished yet."""
    with _TURN:
        last = _LAST.get(store)
        if last is not None and last.head.database_id != head.database_id:
            last = None
        if last is None or last.head != head:
            _LAST[store] = last = _read_on(session, head, last)
        return last.taught


def by_kind(times: Iterable[Logged]) -> dict[int, KindTimes]:
    """Times, oldest first, by their kind."""
    return _grown({}, times)


def _read_on(session: Session, head: Head, last: _Read | None) -> _Read:
    if last is None:
        return _read_all(session, head)
    mark, said = logs.mark(session, last.split_at), logs.answers(session)
    if mark == last.mark and said == last.said:
        return replace(last, head=head)
    if (mark.before, mark.renamed) != (last.mark.before, last.mark.renamed):
        return _read_all(session, head)
    new = logs.read_times(session, last.split_at)
    if len(new) > MOST_NEW and new[-1].finished_at - last.split_at > 2 * OLD:
        return _parted(session, head, [*(one for own in last.old.values() for one in own.times), *new])
    return _Read(head, last.split_at, mark, said, last.old, _joined(head, mark, said, last.old, new))


def _read_all(session: Session, head: Head) -> _Read:
    return _parted(session, head, logs.read_times(session))


def _parted(session: Session, head: Head, times: list[Logged]) -> _Read:
    """All times as old and new ones."""
    times.sort(key=lambda one: (one.finished_at, one.key))
    split_at = _quiet(times)
    new = logs.read_times(session, split_at)
    keys = {one.key for one in new}
    old = by_kind(one for one in times if one.key not in keys)
    mark, said = logs.mark(session, split_at), logs.answers(session)
    return _Read(head, split_at, mark, said, old, _joined(head, mark, said, old, new))


def _quiet(times: Sequence[Logged]) -> datetime:
    """An instant in a pause, two weeks before the newest time or earlier."""
    before = [one.finished_at for one in times]
    at = before[-1] - OLD if before else EARLIEST
    for earlier, later in zip(before[-2::-1], before[:0:-1], strict=True):
        if later <= at and later - earlier >= NIGHT:
            return later
    return EARLIEST


def _joined(
    head: Head, mark: Mark, said: Mapping[str, Answer], old: Mapping[int, KindTimes], new: Iterable[Logged]
) -> Taught:
    kinds = _grown(old, new)
    if said:
        kinds = {
            kind: replace(own, times=tuple(logs.with_answers(own.times, said))) for kind, own in kinds.items()
        }
    answered = tuple(sorted((key, one.counts, one.said_at) for key, one in said.items()))
    return Taught(kinds, (head.database_id, mark, answered))


def _grown(old: Mapping[int, KindTimes], new: Iterable[Logged]) -> dict[int, KindTimes]:
    more: dict[int, list[Logged]] = defaultdict(list)
    for one in new:
        more[one.kind].append(one)
    return {**old, **{kind: old.get(kind, NOTHING).with_more(own) for kind, own in more.items()}}


_LAST: WeakKeyDictionary[Store, _Read] = WeakKeyDictionary()
_TURN = Lock()
