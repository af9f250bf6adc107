"""Foretold stages of one job → minutes of all that is to come: stages of one job run long together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log, sqrt
from statistics import NormalDist

import numpy as np

from shoptrack.engine import student
from shoptrack.engine.durations import chance_under
from shoptrack.engine.shapes.learned import Floats, Prediction

FIRST_LIKENESS, ITS_PAIRS, ITS_COUNT = 0.3, 150, 30
MOST_LIKENESS = 0.9
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Part:
    """A stage that is not done: what was foretold of it, and the minutes that it has taken already."""

    foretold: Prediction
    spent_min: float = 0.0


def surprise(foretold: Prediction, minutes: float) -> float:
    """How far what happened was from the middle of what was foretold, in standard deviations, within ±3."""
    return student.z_of(chance_under(foretold, minutes))


def likeness(jobs: Iterable[Sequence[float]]) -> float:
    """How far stages of one job run long together: ρ of a one-factor Gaussian copula, from 0 to .9.

    Takes the surprises of each job's stages. Empty: .3, which weighs like 150 pairs of stages. Method: the
    mean product of pairs, in units of the mean square.
    """
    products, pairs, squares, count = 0.0, 0, 0.0, 0
    for surprises in jobs:
        own = sum(z * z for z in surprises)
        products += (sum(surprises) ** 2 - own) / 2.0
        pairs += len(surprises) * (len(surprises) - 1) // 2
        squares, count = squares + own, count + len(surprises)
    variance = (squares + ITS_COUNT) / (count + ITS_COUNT)
    found = (products / variance + ITS_PAIRS * FIRST_LIKENESS) / (pairs + ITS_PAIRS)
    return min(max(found, 0.0), MOST_LIKENESS)


def draw_min(
    parts: Sequence[Part],
    rho: float,
    rng: np.random.Generator,
    count: int,
    surprises: Sequence[float] = (),
) -> Floats:
    """Drawn minutes of stages to come, (count, stages); of one in hand all its minutes, the spent ones too.

    Takes ``surprises``: those of the job's stages that are done. Method: z = √ρ·G + √(1−ρ)·E and minutes =
    Q(Φ(z)) within 0.2–99.8 %; after m stages G ~ N(√ρ·Σz/(1−ρ+mρ), (1−ρ)/(1−ρ+mρ)). A stage in hand is longer
    than what it took already: G is drawn anew by the chance of that, then E beyond it.
    """
    m, rest = len(surprises), 1.0 - rho
    left = rest + m * rho
    common = rng.normal(sqrt(rho) * sum(surprises) / left, sqrt(rest / left), count)
    floors = np.array([_z_spent(part) for part in parts])
    if np.any(np.isfinite(floors)):
        common = _longer(common, floors, rho, rng)
    own = rng.random((count, len(parts)))
    drawn = np.empty((count, len(parts)))
    for n, part in enumerate(parts):
        z = _beyond(common, floors[n], own[:, n], rho)
        ln = part.foretold.loc + part.foretold.scale * student.quantile_of_z(z, part.foretold.df)
        drawn[:, n] = np.maximum(np.exp(ln), part.spent_min)
    return drawn


def _z_spent(part: Part) -> float:
    if part.spent_min <= 0:
        return -np.inf
    share = float(
        student.cdf((log(part.spent_min) - part.foretold.loc) / part.foretold.scale, part.foretold.df)
    )
    return float(np.clip(_NORMAL.inv_cdf(min(max(share, 1e-6), 1 - 1e-6)), student.LEAST_Z, student.MOST_Z))


def _longer(common: Floats, floors: Floats, rho: float, rng: np.random.Generator) -> Floats:
    """Draws of the common part, chosen anew by how likely each makes stages to last as long as they have."""
    chances = np.ones(len(common))
    for floor in floors[np.isfinite(floors)]:
        chances *= 1.0 - _phi((floor - sqrt(rho) * common) / sqrt(1.0 - rho))
    total = chances.sum()
    if total <= 0.0:
        return common
    return common[rng.choice(len(common), len(common), p=chances / total)]


def _beyond(common: Floats, floor: float, own: Floats, rho: float) -> Floats:
    """The z of a stage given the common part, above a floor."""
    start = _phi((floor - sqrt(rho) * common) / sqrt(1.0 - rho)) if np.isfinite(floor) else 0.0
    shares = np.clip(start + (1.0 - start) * own, 1e-9, 1.0 - 1e-9)
    return np.asarray(sqrt(rho) * common + sqrt(1.0 - rho) * _phi_inverse(shares))


def _phi(z: Floats) -> Floats:
    return np.array([_NORMAL.cdf(x) for x in z])


def _phi_inverse(shares: Floats) -> Floats:
    return np.array([_NORMAL.inv_cdf(x) for x in shares])
