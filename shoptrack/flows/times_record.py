"""What was foretold and what came of it → how often "8 in 10" was 8 in 10, and how sure that is."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shares import share_between
from shoptrack.flows.foretold import Foretold

SAID = (0.5, 0.8, 0.9)
FEWEST = 20
"""Under so many nothing is said: of 20 of which 16 held the true share may be from 58 to 92 %."""


@dataclass(frozen=True, slots=True)
class Held:
    """How often a share that was said held: ``held`` of ``of``; the true one is ``low`` to ``high``."""

    said: float
    held: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """How often it held; nought where there is none."""
        return self.held / self.of if self.of else 0.0

    @property
    def too_few(self) -> bool:
        """Whether there are too few to say anything."""
        return self.of < FEWEST

    @property
    def verdict(self) -> str:
        """What may be said: "too few", "as said", "less often" or "more often"."""
        if self.too_few:
            return "too few"
        if self.low <= self.said <= self.high:
            return "as said"
        return "less often" if self.high < self.said else "more often"


@dataclass(frozen=True, slots=True)
class Record:
    """How one kind (or all, kind 0) did: each share that was said, and how much was reckoned afterwards.

    ``median_share`` is the middle of what happened over the middle of what was foretold; None without any.
    """

    kind: int
    name: str
    held: tuple[Held, ...]
    of: int
    later: int
    imported: int
    median_share: float | None


@dataclass(frozen=True, slots=True)
class Against:
    """One time against what was foretold of it, in minutes."""

    told: Foretold
    p50: float
    p80: float


def records(track: Sequence[Foretold], kinds: Mapping[int, str]) -> tuple[Record, ...]:
    """The record of all kinds together, then of each that was foretold, in the order of ``kinds``.

    Only what counts is taken. Empty: one record of nothing.
    """
    counted = [one for one in track if one.counted]
    by_kind: dict[int, list[Foretold]] = defaultdict(list)
    for one in counted:
        by_kind[one.kind].append(one)
    each = [_record(id, name, by_kind[id]) for id, name in kinds.items() if by_kind[id]]
    return (_record(0, "all kinds", counted), *each)


def against(track: Sequence[Foretold], kind: int | None, most: int) -> tuple[Against, ...]:
    """The newest times that count, each with what was foretold of it, oldest first."""
    counted = [one for one in track if one.counted and kind in (None, one.kind)]
    newest = sorted(counted, key=lambda one: (one.finished_at, one.key))[-most:]
    return tuple(
        Against(one, quantile_min(one.prediction, 0.5), quantile_min(one.prediction, 0.8)) for one in newest
    )


def _record(kind: int, name: str, track: Sequence[Foretold]) -> Record:
    ratios = [one.minutes / quantile_min(one.prediction, 0.5) for one in track]
    return Record(
        kind=kind,
        name=name,
        held=tuple(_held(said, track) for said in SAID),
        of=len(track),
        later=sum(one.later for one in track),
        imported=sum(one.imported for one in track),
        median_share=median(ratios) if ratios else None,
    )


def _held(said: float, track: Sequence[Foretold]) -> Held:
    held = sum(one.share <= said for one in track)
    return Held(said, held, len(track), *share_between(held, len(track)))
