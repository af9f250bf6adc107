"""What stands where in an invented shop at a minute, as its makers and its office both see it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from tests.bench.planning_months.invented import Given

Place = tuple[int, int]
"""An order by its number, and a stage of it."""


@dataclass(slots=True)
class Doing:
    """A stage in hand: by whom, the minutes that it has had, and those that it still needs (nobody knows)."""

    order: int
    stage: int
    people: tuple[int, ...]
    spent: int
    left: float


@dataclass(slots=True)
class Open:
    """An order that is not ready: the stage that is next, from when, and by when without a scuff."""

    number: int
    given: Given
    next: int = 0
    free_at: int = 0
    scuff_after: int | None = None
    redoing: bool = False
    doing: Doing | None = None
    due: int | None = None


@dataclass(slots=True)
class Floor:
    """The whole shop: open orders, clamps that are on (off from when, how many, whose), who is away."""

    orders: dict[int, Open] = field(default_factory=dict)
    clamped: list[tuple[int, int, int]] = field(default_factory=list)
    away: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Sheet:
    """What hangs on the wall: which stage comes before which, and how long each should take."""

    ranks: Mapping[Place, int]
    minutes: Mapping[Place, float]


class Office(Protocol):
    """Who gives dates, makes plans and keeps the times that were logged."""

    def promise(self, now: int, floor: Floor, number: int) -> int | None:
        """The minute that a new order is promised for."""

    def plan(self, now: int, floor: Floor) -> Sheet:
        """The plan of this minute."""

    def log(self, number: int, given: Given, stage: int, minutes: float, spoiled: bool) -> None:
        """A time that somebody logged."""

    def close(self, number: int, now: int) -> None:
        """An order is ready."""

    def morning(self) -> None:
        """A working day begins."""
