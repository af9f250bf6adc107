"""What was foretold, as equally likely quantiles, and what came → CRPS and whether the ranges held."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from shoptrack.engine.shapes.learned import Floats

LEVELS = (np.arange(200) + 0.5) / 200
"""The shares of the quantiles that a distribution is scored by."""


def crps(quantiles: Floats, came: Floats) -> Floats:
    """The continuous ranked probability score of sorted equally likely values, (…, members), against (…).

    Method: E|X − y| − ½·E|X − X′|, the second from the order: Σ (2i − n − 1)·x_i / n². Source: Gneiting and
    Raftery, "Strictly proper scoring rules" (2007), eq. 21.
    """
    n = quantiles.shape[-1]
    off = np.abs(quantiles - came[..., None]).mean(axis=-1)
    spread = quantiles @ (2.0 * np.arange(1, n + 1) - n - 1) / n**2
    return np.asarray(off - spread)


def at(quantiles: Floats, share: float) -> Floats:
    """The value under which a share lies, between the two nearest of the quantiles."""
    place = share * quantiles.shape[-1] - 0.5
    low = int(place)
    part = place - low
    return np.asarray((1.0 - part) * quantiles[..., low] + part * quantiles[..., low + 1])


def inside(quantiles: Floats, came: Floats, share: float) -> Floats:
    """1 where what came lies in the middle range of a share, else 0."""
    low, high = at(quantiles, (1.0 - share) / 2.0), at(quantiles, (1.0 + share) / 2.0)
    return np.asarray((low <= came) & (came <= high), dtype=float)


@dataclass(frozen=True, slots=True)
class Held:
    """How often what was said held: shares of the 80 % and 90 % ranges, and of P80."""

    in_80: float
    in_90: float
    under_p80: float
    count: int


@dataclass(slots=True)
class Tally:
    """Scores gathered under a key, such as a world and a count of logs."""

    scores: dict[tuple[object, ...], dict[str, list[Floats]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(list))
    )

    def add(
        self, key: tuple[object, ...], foretold: Mapping[str, Floats], came: Floats, unit_min: Floats
    ) -> None:
        """Score every method's quantiles; the CRPS in units in which all kinds weigh alike."""
        own = self.scores[key]
        for method, quantiles in foretold.items():
            own[f"crps {method}"].append((crps(quantiles, came) / unit_min).ravel())
        ours = foretold["ours"]
        own["80"].append(inside(ours, came, 0.8).ravel())
        own["90"].append(inside(ours, came, 0.9).ravel())
        own["p80"].append((came <= at(ours, 0.8)).astype(float).ravel())

    def mean(self, keys: Iterable[tuple[object, ...]], name: str) -> float:
        """The mean of a score over some keys."""
        return float(np.mean(np.concatenate([x for key in keys for x in self.scores[key][name]])))

    def ratio(self, keys: Iterable[tuple[object, ...]], method: str) -> float:
        """Our CRPS as a share of another method's."""
        keys = list(keys)
        return self.mean(keys, "crps ours") / self.mean(keys, f"crps {method}")

    def held(self, keys: Iterable[tuple[object, ...]]) -> Held:
        """How often our ranges held."""
        keys = list(keys)
        count = sum(x.size for key in keys for x in self.scores[key]["80"])
        return Held(self.mean(keys, "80"), self.mean(keys, "90"), self.mean(keys, "p80"), count)
