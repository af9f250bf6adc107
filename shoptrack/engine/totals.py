"""Foretold stages of one job → minutes of all that is to come: stages of one job run long together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import erfc, log, sqrt
from statistics import NormalDist

import numpy as np

from shoptrack.engine import normal, student
from shoptrack.engine.durations import chance_under
from shoptrack.engine.shapes.learned import Floats, Prediction
from shoptrack.engine.shapes.quoted import SHARES, Range

FIRST_LIKENESS, ITS_PAIRS, ITS_COUNT = 0.3, 150, 30
MOST_LIKENESS = 0.9
OVERRUN = 0.1
"""A stage in hand that has outlasted 98 in 100 is drawn on until only this share of such would go on."""

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
    than what it took already: that is one more thing known of G, and E is drawn beyond it. Draws of one seed
    stay alike while minutes are spent. G and every E have one draw in each of ``count`` equal shares (Latin
    hypercube), which halves the noise.
    """
    m, rest = len(surprises), 1.0 - rho
    left = rest + m * rho
    floors = [_z_spent(part) for part in parts]
    common = _evenly_normal(rng, count)
    common = _common(sqrt(rho) * sum(surprises) / left, sqrt(rest / left), common, floors, rho)
    drawn = np.empty((count, len(parts)))
    for n, part in enumerate(parts):
        drawn[:, n] = _minutes(part, floors[n], _beyond(common, floors[n], _evenly_normal(rng, count), rho))
    return drawn


def range_of_draws(drawn: Floats) -> Range:
    """What one in ten, half, eight and nine in ten of some draws stay under, in their own unit."""
    return Range(*(float(each) for each in np.quantile(drawn, SHARES)))


def _evenly_normal(rng: np.random.Generator, count: int) -> Floats:
    """Standard normal draws in a drawn order, one in each of ``count`` equal shares."""
    shares = (rng.permutation(count) + rng.random(count)) / count
    return normal.quantile(np.clip(shares, 1e-9, 1.0 - 1e-9))


def _z_spent(part: Part) -> float | None:
    """The z that a stage in hand is beyond, within 1 in a million; None: it has taken nothing yet."""
    if part.spent_min <= 0.0:
        return None
    share = chance_under(part.foretold, part.spent_min)
    return _NORMAL.inv_cdf(min(max(share, 1e-6), 1.0 - 1e-6))


def _common(mean: float, sd: float, drawn: Floats, floors: Sequence[float | None], rho: float) -> Floats:
    """What the stages have in common, from standard normal draws.

    Method: without stages in hand it is normal. With some its density is that times each one's chance to
    last as long as it has, summed up over a grid from 8 sd under the mean to 40 above it.
    """
    beyond = [floor for floor in floors if floor is not None]
    if not beyond:
        return mean + sd * drawn
    steps = np.arange(-8.0, 40.0, 0.05)
    ln = -(steps**2) / 2.0
    for floor in beyond:
        ln += np.log(_more_than((floor - sqrt(rho) * (mean + sd * steps)) / sqrt(1.0 - rho)))
    density = np.exp(ln - ln.max())
    below = np.concatenate([[0.0], np.cumsum(density[1:] + density[:-1])])
    return np.asarray(mean + sd * np.interp(_more_than(-drawn), below / below[-1], steps))


def _beyond(common: Floats, floor: float | None, own: Floats, rho: float) -> Floats:
    """The z of a stage given what is common, above a floor where there is one."""
    if floor is not None:
        chances = _more_than((floor - sqrt(rho) * common) / sqrt(1.0 - rho))
        own = -normal.quantile(np.clip(chances * _more_than(own), 1e-300, 1.0 - 1e-16))
    return np.asarray(sqrt(rho) * common + sqrt(1.0 - rho) * own)


def _minutes(part: Part, floor: float | None, z: Floats) -> Floats:
    """The minutes of a stage at z; of one in hand counted on from what was spent, so never less."""
    told = part.foretold
    if floor is None:
        return np.exp(told.loc + told.scale * student.quantile_of_z(z, told.df))
    most = max(student.MOST_Z, -_NORMAL.inv_cdf(OVERRUN * _NORMAL.cdf(-floor)))
    reached = float(student.quantile_of_z(np.array(floor), told.df, most))
    start = max(told.loc, log(part.spent_min) - told.scale * reached)
    ln = start + told.scale * student.quantile_of_z(np.maximum(z, floor), told.df, most)
    return np.maximum(np.exp(ln), part.spent_min)


def _more_than(z: Floats) -> Floats:
    """The chance of more than z, exact in the tail too."""
    return np.array([max(0.5 * erfc(x / sqrt(2.0)), 1e-300) for x in z])
