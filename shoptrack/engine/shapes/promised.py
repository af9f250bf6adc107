"""What may come of the work to be done: futures, the minutes that a promise rests on, what threatens it."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int64]
"""Whole minutes."""

NEVER = 1 << 40
"""A minute after every horizon: in that future it does not come to it."""


@dataclass(frozen=True, slots=True)
class Ran:
    """One future: when each task ended and each order was ready; None: not within the horizon."""

    ready: tuple[int | None, ...]
    ends: tuple[int | None, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Futures:
    """When each order is ready in each future, (draws, orders); ``NEVER`` where it is not by the horizon."""

    ready: Counts


@dataclass(frozen=True, slots=True, eq=False)
class Coming:
    """When the orders of a problem come to be known in each future, (draws, orders).

    0 for those that are known, ``NEVER`` for a place that this future leaves empty. The first ``given``
    orders are those that are asked about; what comes after them nobody has ordered yet.
    """

    given: int
    known: Counts


@dataclass(frozen=True, slots=True)
class Pace:
    """How orders come to a shop, and how they fare: so many a week, and of two orders open together the share
    of pairs in which the one that came later was ready first.
    """

    per_week: float = 0.0
    overtaken: float = 0.15


NOBODY_COMES = Pace()


@dataclass(frozen=True, slots=True)
class Promise:
    """The minutes by which 50, 80 and 90 in 100 futures have an order ready (None: fewer ever do).

    ``chance`` is that of being ready by the promised minute, None where nothing was promised.
    """

    p50: int | None
    p80: int | None
    p90: int | None
    chance: float | None


@dataclass(frozen=True, slots=True)
class Threat:
    """What an order's lateness hangs on: a task of its own, another order, or what is done at a resource.

    ``place`` numbers it in the problem; ``share`` is the share of the variance of the order's place among
    its futures that goes with it, taken alone.
    """

    kind: Literal["task", "order", "resource"]
    place: int
    share: float
