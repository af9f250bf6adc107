"""Minutes of first passes and of passes done again → the share that each kind of stage has to allow for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

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
    return shares(first_and_again_min(session, now - LOOK_BACK))


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
