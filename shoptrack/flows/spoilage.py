"""Minutes of first passes and of passes done again → the share that each kind of stage has to allow for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.flows.learning import LOOKED_AFTER
from shoptrack.store.db import Head, Store, head
from shoptrack.store.spoiled import first_and_again_min

LOOK_BACK = timedelta(days=3 * 365)
"""What was spoiled before says little of the people and machines of today."""

KIND_WEIGHT_MIN = 1_200.0
"""How many minutes of first passes the shop's overall share weighs against a kind's own."""

SHOP_WEIGHT_MIN = 2_400.0
"""How many minutes without any spoiled piece are taken for granted of the whole shop."""


@dataclass(frozen=True, slots=True)
class Spoilage:
    """How many minutes are done again for each minute of a first pass: of all kinds, and of each."""

    overall: float
    by_kind: Mapping[int, float]

    def share_of(self, kind: int) -> float:
        """The share of a kind; of one that was never done, the shop's."""
        return self.by_kind.get(kind, self.overall)


def spoilage(session: Session, now: datetime) -> Spoilage:
    """The share of spoiled work in the last three years. Empty: nought, while nothing was logged."""
    return shares(first_and_again_min(session, _since(now)))


def learn_spoilage(store: Store, session: Session, now: datetime) -> Spoilage:
    """The same for a session that only reads; what was found last serves until anything is written."""
    at, since = head(session), _since(now)
    last = _LAST.get(store)
    if last is None or (last.head, last.since) != (at, since):
        _LAST[store] = last = _Left(at, since, shares(first_and_again_min(session, since)))
    return last.found


def spoilage_lately(store: Store, session: Session, now: datetime) -> Spoilage:
    """What was found at the learner's last look, seconds ago; where none looks, what is found now."""
    last = _LAST.get(store)
    if store not in LOOKED_AFTER or last is None or last.since != _since(now):
        return learn_spoilage(store, session, now)
    same = last.head.database_id == head(session).database_id
    return last.found if same else learn_spoilage(store, session, now)


def _since(now: datetime) -> datetime:
    """The beginning of a day, so that the same serves all day."""
    return datetime.combine((now - LOOK_BACK).astimezone(UTC).date(), time(), UTC)


def shares(minutes: Mapping[int, tuple[float, float]]) -> Spoilage:
    """Minutes of first passes and of what was done again, by kind, as shares.

    Method: the shop's share = Σ again / (Σ first + 2,400), so that few logs say little was spoiled; a kind's
    = (again + 1,200 · the shop's) / (first + 1,200): twenty hours of its own weigh as much as the whole
    shop's word. A ratio of sums, so that a long stage counts as long as it was. Source: our own.
    """
    first = sum(of for of, _ in minutes.values())
    again = sum(of for _, of in minutes.values())
    overall = again / (first + SHOP_WEIGHT_MIN)
    return Spoilage(
        overall=overall,
        by_kind={
            kind: (redone + KIND_WEIGHT_MIN * overall) / (done + KIND_WEIGHT_MIN)
            for kind, (done, redone) in minutes.items()
        },
    )


@dataclass(frozen=True, slots=True)
class _Left:
    """What was found last, as of which head, of what was finished since when."""

    head: Head
    since: datetime
    found: Spoilage


_LAST: WeakKeyDictionary[Store, _Left] = WeakKeyDictionary()
