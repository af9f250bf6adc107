"""What was learned of an edge, and what being found dull costs → the age at which renewing it is cheapest."""

from dataclasses import dataclass
from math import gamma, log

import numpy as np

from shoptrack.engine.edge_life import EdgeFit, Points, points_of, still_sharp, used
from shoptrack.engine.shapes.learned import Floats

LEAST_SAVING = 0.001
"""Renewing early that saves a smaller share than this is not worth a rule."""
HARDLY_ANY = 1e-4
"""Ages that a smaller share of edges reach are not looked at."""
_LIGHT = 1e-5
_PANELS = 60
_HALVINGS = 26
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True, slots=True)
class Cheapest:
    """The age at which to renew an edge that is not dull yet, and what an effective hour then costs.

    ``dull_cents_per_h``: what it costs where every edge runs until it is found dull.
    """

    every_h: float
    cents_per_h: float
    dull_cents_per_h: float


def cheapest_h(
    life: EdgeFit | tuple[float, float], planned_cents: float, dull_cents: float
) -> Cheapest | None:
    """When to renew an edge that is still sharp, so that an effective hour costs least in the long run.

    Takes what was learned, or a known shape and scale (hours); what renewing costs when it was planned, and
    in all when the edge is found out by a spoiled piece. None: early is never worth it, since lives don't end
    by wear (shape up to 1), being found out costs no more, or less than a thousandth would be saved. Method:
    an hour costs (c_p·S(τ) + c_d·F(τ)) / ∫₀^τ S; of what was learned the mean of that over all lives that may
    be the true one. Its least value is looked for at the ends of 60 even panels (Simpson's rule), then where
    its slope is nought between their neighbours; of one life that is h(τ)·∫₀^τ S − F(τ) = c_p / (c_d − c_p).
    Source: age replacement, Barlow and Hunter (1960), from memory.
    """
    if not 0.0 < planned_cents < dull_cents:
        return None
    points = _heavy(life) if isinstance(life, EdgeFit) else _known(*life)
    ratio = planned_cents / (dull_cents - planned_cents)
    ages, sharp_h = _ages(points)
    costs = np.array([_cost(points, a, h, ratio) for a, h in zip(ages[1:], sharp_h[1:], strict=True)])
    best = int(np.argmin(costs))
    never = (1.0 + ratio) * float(points.weight @ (1.0 / _means_h(points)))
    if best == _PANELS - 1 or costs[best] > never * (1.0 - LEAST_SAVING):
        return None
    every, before = _level(points, ages[best : best + 3], sharp_h[best], ratio)
    extra_cents = dull_cents - planned_cents
    return Cheapest(every, extra_cents * _cost(points, every, before, ratio), extra_cents * never)


def _known(shape: float, scale_h: float) -> Points:
    return Points(np.array([shape]), np.array([log(scale_h)]), np.ones(1))


def _heavy(fit: EdgeFit) -> Points:
    """The points that cents can depend on: fewer than for a range, since there is more to reckon of each."""
    points = points_of(fit)
    heavy = points.weight >= _LIGHT * points.weight.max()
    weight = points.weight[heavy]
    return Points(points.shape[heavy], points.ln_scale[heavy], weight / weight.sum())


def _cost(points: Points, age_h: float, sharp_h: Floats, ratio: float) -> float:
    """What an hour costs if edges are renewed at an age, in units of what being found dull costs more."""
    return float(points.weight @ ((ratio - np.expm1(-used(points, age_h))) / sharp_h))


def _means_h(points: Points) -> Floats:
    """The mean of each life: η·Γ(1 + 1/k)."""
    gammas = np.array([gamma(1.0 + 1.0 / k) for k in points.shape.tolist()])
    return np.asarray(np.exp(points.ln_scale) * gammas)


def _ages(points: Points) -> tuple[Floats, Floats]:
    """Even ages up to one that hardly any edge reaches; the hours sharp by each, (ages, lives)."""
    longest = float(np.max(points.ln_scale + np.log(-log(HARDLY_ANY)) / points.shape))
    tried = np.exp(np.linspace(points.ln_scale.min(), longest, _PANELS))
    most = tried[np.argmax(still_sharp(points, tried, 0.0) <= 1.001 * HARDLY_ANY)]
    halves = np.linspace(0.0, most, 2 * _PANELS + 1)
    sharp = np.exp([-used(points, float(age)) for age in halves])
    panels = (sharp[:-2:2] + 4.0 * sharp[1::2] + sharp[2::2]) * (halves[2] - halves[0]) / 6.0
    return halves[::2], np.concatenate([np.zeros((1, panels.shape[1])), np.cumsum(panels, axis=0)])


def _level(points: Points, around: Floats, before_h: Floats, ratio: float) -> tuple[float, Floats]:
    """The age between three at which an hour costs least, and the hours that each life is sharp until then.

    Method: halving by the sign of the slope, Σ w·(f·∫S − (F + ratio)·S) / (∫S)².
    """
    start, low, high = float(around[0]), float(around[0]), float(around[2])
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        spent, sharp_h = used(points, middle), before_h + _sharp_between(points, start, middle)
        dies = points.shape * spent / middle * sharp_h - (ratio - np.expm1(-spent))
        rises = float(points.weight @ (np.exp(-spent) * dies / sharp_h**2)) > 0.0
        low, high = (low, middle) if rises else (middle, high)
    return low, before_h + _sharp_between(points, start, low)


def _sharp_between(points: Points, start: float, end: float) -> Floats:
    """The hours for which each life is sharp between two ages (Gauss–Legendre over 8 nodes)."""
    half = (end - start) / 2.0
    nodes = start + half * (_NODES + 1.0)
    return np.asarray(half * (_WEIGHTS @ np.exp([-used(points, float(age)) for age in nodes])))
