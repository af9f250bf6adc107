"""Pieces of sittings with the intervals of them that count."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from shoptrack.engine import hours
from shoptrack.engine.replay.book import Book, Piece
from shoptrack.engine.shapes import Question

OFFERED_FOR = timedelta(hours=36)

Spans = tuple[tuple[datetime, datetime], ...]


@dataclass(slots=True)
class Counted:
    """A piece of a sitting with the intervals that count and what others took out of it."""

    piece: Piece
    spans: Spans
    factor: float = 1.0
    given_min: float = 0.0

    @property
    def minutes(self) -> float:
        """Minutes of the whole piece, all its stages together."""
        return max(0.0, length_min(self.spans) * self.factor - self.given_min)


@dataclass(frozen=True, slots=True)
class Asked:
    """A question that reckoning brought up, with the jobs it rests on.

    ``ended_at``: it is offered for a day and a half after that; None: until it is answered.
    """

    question: Question
    jobs: frozenset[int]
    ended_at: datetime | None = None


@dataclass(slots=True)
class Timed:
    """All minutes of a replay, by piece, with what the sittings left open."""

    pieces: dict[int, Counted] = field(default_factory=dict)
    crossed: set[str] = field(default_factory=set)
    doubted: set[str] = field(default_factory=set)
    helped: dict[int, float] = field(default_factory=dict)
    asked: dict[tuple[str, str], Asked] = field(default_factory=dict)


def length_min(spans: Iterable[tuple[datetime, datetime]]) -> float:
    """Minutes in all of the spans."""
    return sum((b - a).total_seconds() for a, b in spans) / 60.0


def clip(spans: Spans, start: datetime, end: datetime) -> Spans:
    """The parts of spans inside [start, end)."""
    return tuple((max(a, start), min(b, end)) for a, b in spans if a < end and b > start)


class Days:
    """A person's working spans over the whole book, so that a stint inside one of them is found at once."""

    def __init__(self, spans: Spans) -> None:
        self.starts = [a for a, _ in spans]
        self.ends = [b for _, b in spans]

    @classmethod
    def since(cls, book: Book, person: int, start: datetime, now: datetime) -> "Days":
        """The spans from the day of a person's first stint on; sittings are in the order of their starts."""
        return cls(hours.spans(book.world.calendar, person, start - timedelta(days=1), now))

    def has(self, start: datetime, end: datetime) -> bool:
        """Whether an interval lies inside one working span."""
        place = bisect_right(self.starts, start) - 1
        return place >= 0 and end <= self.ends[place]
