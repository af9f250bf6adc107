"""Lives of an edge, those cut short too → how long the next one lasts, and how much is left of one."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log

import numpy as np
from numpy.typing import NDArray

from shoptrack.engine.shapes.learned import Floats

LEAST_SHAPE, MOST_SHAPE, SHAPES = 0.8, 10.0, 36
MEDIANS = 61
FAR_SD = 6.0
"""How far from the usual life a median is looked for at first, in sds of what is believed of it."""
FAR_FROM_LIVES = 1.0
"""And how far beyond the shortest and longest life, in ln: the usual life may be typed in the wrong unit."""
NEGLIGIBLE = 1e-6
"""Points of the first grid that weigh less than this share of the heaviest are not worth a finer look."""
NOTHING = 1e-9
"""Points that weigh less than this share of the heaviest change no digit that is shown."""
NEW = 1e-6
"""An edge that ran less than this share of the shortest life is a new one."""
SOON = 0.2
"""The chance that an edge is dull from which it is told as due soon."""
_HALVINGS = 36
_MOST_LN = 700.0


@dataclass(frozen=True, slots=True)
class Life:
    """An edge between two times that it was made sharp, in effective hours.

    ``dull``: it was found dull, which is a life. Else it was sharpened early, turned, broken, chipped, or is
    still in use, and would have lasted longer than this.
    """

    effective_h: float
    dull: bool


@dataclass(frozen=True, slots=True)
class Beliefs:
    """What is taken for granted before anything was found dull: lognormal, ``_sd`` on the scale of ln.

    ``shape`` says how alike lives are (1: no wear at all, chance alone; 3.7: they differ by three tenths).
    The median life is believed to be the usual one.
    """

    shape: float = 3.2
    shape_sd: float = 0.35
    median_sd: float = 0.5


USUAL = Beliefs()


@dataclass(frozen=True, slots=True)
class LifeRange:
    """The effective hours that one in ten, half and nine in ten stay under."""

    p10_h: float
    p50_h: float
    p90_h: float


@dataclass(frozen=True, slots=True)
class Points:
    """Weibull lives that may be the true one: their shape, the ln of their scale (hours), their weight."""

    shape: Floats
    ln_scale: Floats
    weight: Floats


@dataclass(frozen=True, slots=True, eq=False)
class EdgeFit:
    """What the lives of an edge taught: the weight (shapes, medians) of each Weibull life, all summing to 1.

    ``dull`` lives were seen to their end, ``cut_short`` ones not.
    """

    shapes: Floats
    medians_h: Floats
    weights: Floats
    dull: int
    cut_short: int

    @property
    def scales_h(self) -> Floats:
        """The hours by which 63.2 % are dull, (shapes, medians)."""
        return np.asarray(self.medians_h / log(2.0) ** (1.0 / self.shapes[:, None]))

    def survival(self, h: Floats | float) -> Floats:
        """The chance that a new edge is still sharp after some effective hours, an array of their shape."""
        at = np.maximum(np.asarray(h, dtype=np.float64), 0.0)
        return np.asarray(still_sharp(points_of(self), at.reshape(-1), 0.0).reshape(at.shape))

    def chance_dull(self, age_h: float) -> float:
        """The chance that an edge of so many effective hours, at which nobody has looked, is dull by now."""
        return float(1.0 - self.survival(age_h))

    def soon_at_h(self) -> float:
        """The age at which one in five is dull: from then on it is told as due soon."""
        return float(self.left_quantiles(0.0, [SOON])[0])

    def life_h(self) -> LifeRange:
        """How long a new edge lasts."""
        return LifeRange(*(float(h) for h in self.left_quantiles(0.0, [0.1, 0.5, 0.9])))

    def left_quantiles(self, age_h: float, shares: Sequence[float]) -> Floats:
        """The effective hours under which shares of such edges last on, not being dull at an age.

        Takes shares strictly between 0 and 1. Method: halving between the least and the greatest quantile of
        the single lives.
        """
        age_h = self._worth_counting(age_h)
        points = _aged(self, age_h)
        wanted = np.asarray(shares, dtype=np.float64)
        singles = _left_h(points, age_h, -np.log1p(-wanted)[:, None])
        low, high = singles.min(axis=1), singles.max(axis=1)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            over = still_sharp(points, middle, age_h) < 1.0 - wanted
            low, high = np.where(over, low, middle), np.where(over, middle, high)
        return np.asarray((low + high) / 2.0)

    def draw_left(self, age_h: float, n: int, rng: np.random.Generator) -> Floats:
        """Drawn effective hours that such edges last on, not being dull at an age.

        Method: a life by its weight given the age, one in each of ``n`` equal shares, then its own luck.
        """
        age_h = self._worth_counting(age_h)
        points = _aged(self, age_h)
        shares = (rng.permutation(n) + rng.random(n)) / n
        which = np.minimum(np.searchsorted(np.cumsum(points.weight), shares), len(points.weight) - 1)
        chosen = Points(points.shape[which], points.ln_scale[which], points.weight[which])
        return _left_h(chosen, age_h, rng.exponential(size=n))

    def _worth_counting(self, age_h: float) -> float:
        """An age, or nought where it is too little to be told from none."""
        return age_h if age_h > NEW * float(self.medians_h[0]) else 0.0


def learn(lives: Sequence[Life], usual_h: float, beliefs: Beliefs = USUAL) -> EdgeFit:
    """Learn how long an edge lasts from its lives, in any order.

    Takes the usual life in effective hours, above 0. The life that goes on of the edge that is asked about is
    left out: its age is said in the question, and would count twice. A life of no hours says nothing of wear.
    Gives the posterior on a grid. Empty: what was believed before. Method: Weibull, shape k on 36 points even
    in ln from .8 to 10, median m on 61. ln weight = prior + Σ_dull [ln(k/η) + (k−1)·ln(t/η) − (t/η)^k]
    − Σ_cut short (t/η)^k, η = m / ln2^(1/k); k ~ lognormal(ln 3.2, .35), m ~ lognormal(ln usual, .5). The
    medians are laid twice: first six sds to either side and beyond every life, then over what of that weighs
    anything, so that neither many lives nor a usual life ten times off leave it too coarse or too short.
    Source: Bayes on a grid as in textbooks (from memory); the beliefs are our own.
    """
    counted = [life for life in lives if life.effective_h > 0.0]
    ln_t = np.log([life.effective_h / usual_h for life in counted]) if counted else np.empty(0)
    dull = np.array([life.dull for life in counted], dtype=bool)
    shapes = np.geomspace(LEAST_SHAPE, MOST_SHAPE, SHAPES)
    far = FAR_SD * beliefs.median_sd
    first = min([-far, *(ln_t - FAR_FROM_LIVES)])
    last = max([far, *(ln_t + FAR_FROM_LIVES)])
    ln_medians = np.linspace(first, last, MEDIANS)
    heaviest = _weights(shapes, ln_medians, ln_t, dull, beliefs).max(axis=0)
    kept = np.flatnonzero(heaviest >= NEGLIGIBLE)
    step = ln_medians[1] - ln_medians[0]
    ln_medians = np.linspace(ln_medians[kept[0]] - step, ln_medians[kept[-1]] + step, MEDIANS)
    found = _weights(shapes, ln_medians, ln_t, dull, beliefs)
    seen = int(dull.sum())
    medians_h = usual_h * np.exp(ln_medians)
    return EdgeFit(shapes, medians_h, np.asarray(found / found.sum()), seen, len(counted) - seen)


def _weights(
    shapes: Floats,
    ln_medians: Floats,
    ln_t: Floats,
    dull: NDArray[np.bool_],
    beliefs: Beliefs,
) -> Floats:
    """The weight of each shape and median, the heaviest 1; lives and medians in ln of the usual life."""
    k = shapes[:, None]
    prior = ((np.log(k) - log(beliefs.shape)) / beliefs.shape_sd) ** 2 + (ln_medians / beliefs.median_sd) ** 2
    ln_scale = ln_medians - log(log(2.0)) / k
    ln = -prior / 2.0 + dull.sum() * (np.log(k) - k * ln_scale) + (k - 1.0) * ln_t[dull].sum()
    if len(ln_t):
        powers = np.logaddexp.reduce(k * ln_t, axis=1, keepdims=True)
        ln -= np.exp(np.minimum(powers - k * ln_scale, _MOST_LN))
    return np.asarray(np.exp(ln - ln.max()))


@lru_cache(maxsize=64)
def points_of(fit: EdgeFit) -> Points:
    """The points of a grid that weigh anything."""
    heavy = fit.weights >= NOTHING * fit.weights.max()
    shape = np.broadcast_to(fit.shapes[:, None], fit.weights.shape)[heavy]
    weight = fit.weights[heavy]
    return Points(shape, np.log(fit.scales_h[heavy]), weight / weight.sum())


def _aged(fit: EdgeFit, age_h: float) -> Points:
    """The points by their weight once an edge was not dull at an age: long lives gain.

    From the whole grid, since an edge may outlast all that was thought likely.
    """
    if age_h <= 0.0:
        return points_of(fit)
    shape = np.broadcast_to(fit.shapes[:, None], fit.weights.shape)
    ln_scale = np.log(fit.scales_h)
    with np.errstate(divide="ignore"):
        ln = np.log(fit.weights) - np.exp(np.minimum(shape * (log(age_h) - ln_scale), _MOST_LN))
    weight = np.exp(ln - ln.max())
    heavy = weight >= NOTHING
    return Points(shape[heavy], ln_scale[heavy], weight[heavy] / weight[heavy].sum())


def used(points: Points, age_h: float) -> Floats:
    """(age/η)^k of each point: how much of a life is used up."""
    if age_h <= 0.0:
        return np.zeros_like(points.shape)
    return np.asarray(np.exp(np.minimum(points.shape * (log(age_h) - points.ln_scale), _MOST_LN)))


def still_sharp(points: Points, more_h: Floats, age_h: float) -> Floats:
    """The chance to last so many hours more, (hours,), not being dull at an age; ``points`` weighed for it.

    Method: of the difference ((a+x)/η)^k − (a/η)^k with an age, as (a/η)^k · ((1 + x/a)^k − 1).
    """
    with np.errstate(divide="ignore"):
        if age_h > 0.0:
            longer = np.minimum(points.shape * np.log1p(more_h / age_h)[:, None], _MOST_LN)
            spent = used(points, age_h) * np.expm1(longer)
        else:
            ln = np.log(more_h)[:, None] - points.ln_scale
            spent = np.exp(np.minimum(points.shape * ln, _MOST_LN))
    return np.asarray(np.exp(-spent) @ points.weight)


def _left_h(points: Points, age_h: float, luck: Floats) -> Floats:
    """The hours each point lasts beyond an age, by its luck E ~ Exp(1): η·((a/η)^k + E)^(1/k) − a."""
    if age_h <= 0.0:
        return np.asarray(np.exp(points.ln_scale + np.log(luck) / points.shape))
    return np.asarray(age_h * np.expm1(np.log1p(luck / used(points, age_h)) / points.shape))
