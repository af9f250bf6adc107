"""Student's t distribution: probabilities to quantiles and back; numpy has neither."""

from collections.abc import Sequence
from functools import lru_cache
from math import exp, lgamma, pi, sqrt
from statistics import NormalDist

import numpy as np

from shoptrack.engine.shapes.learned import Floats

LEAST_Z, MOST_Z = -2.878, 2.878
"""Φ of these is 0.2 and 99.8 %: a log-t has no finite mean, so nothing beyond them is used."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_NORMAL = NormalDist()
_STEP, _FARTHEST_Z = 0.125, 5.25
_GRID = np.arange(0.0, _FARTHEST_Z + _STEP / 2, _STEP)
_MOST_STEPS = 60
_AT_ONCE = 2000
_ROUNDING = 4e-15


def cdf(t: Floats | float, df: float) -> Floats:
    """The probability of less than ``t``, as an array of its shape.

    Method: with t = √df · tan θ the density becomes c · cos(θ)^(df − 1), which is integrated from 0 to θ by
    Gauss–Legendre over 64 nodes. Good to 1e-10 from 1 to 1,000 degrees of freedom.
    """
    angle = np.arctan(np.asarray(t, dtype=float) / sqrt(df))
    nodes = np.cos(angle[..., None] * (_NODES + 1.0) / 2.0) ** (df - 1.0)
    whole: Floats = np.asarray(0.5 + _norm(df) * (angle / 2.0) * (nodes @ _WEIGHTS), dtype=np.float64)
    return whole


def cdf_of_each(t: Sequence[float], df: Sequence[float]) -> Floats:
    """The probability of less than each value, each with degrees of freedom of its own; as ``cdf``."""
    found = np.empty(len(t))
    for first in range(0, len(t), _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        freedom = np.array(df[some], dtype=float)
        angle = np.arctan(np.array(t[some], dtype=float) / np.sqrt(freedom))
        nodes = np.cos(angle[:, None] * (_NODES + 1.0) / 2.0) ** (freedom[:, None] - 1.0)
        norms = np.array([_norm(each) for each in freedom])
        found[some] = 0.5 + norms * (angle / 2.0) * (nodes @ _WEIGHTS)
    return found


def quantile(p: Floats | float, df: float) -> Floats:
    """The value below which a share ``p`` (strictly between 0 and 1) lies, as an array of its shape.

    Method: the expansion of Cornish and Fisher in 1/df, then Newton steps, which on either half come to the
    root from one side because the density falls there.
    """
    shares = np.asarray(p, dtype=float)
    upper = np.maximum(shares, 1.0 - shares)
    # one by one: of a hundred or fewer, as are asked for here, that is faster than engine.normal
    z = np.array([_NORMAL.inv_cdf(x) for x in upper.ravel()]).reshape(upper.shape)
    t = z + (z**3 + z) / (4 * df) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * df**2)
    for _ in range(_MOST_STEPS):
        gap = upper - cdf(t, df)
        step = gap / density(t, df)
        t = np.maximum(t + step, 0.0)
        if np.all((np.abs(step) <= 1e-11 * (1.0 + t)) | (np.abs(gap) <= _ROUNDING)):
            break
    signed: Floats = np.where(shares < 0.5, -t, t)
    return signed


def density(t: Floats | float, df: float) -> Floats:
    """The density at ``t``."""
    angle_cos = np.cos(np.arctan(np.asarray(t, dtype=float) / sqrt(df)))
    return np.asarray(_norm(df) / sqrt(df) * angle_cos ** (df + 1.0))


def quantile_of_z(z: Floats, df: float, most_z: float = MOST_Z) -> Floats:
    """The quantiles at Φ(z), z clipped to ±``most_z`` (at most 5.25): to 0.2–99.8 % unless said otherwise.

    Method: cubics between exact quantiles an eighth apart in z, with the slopes dt/dz = φ(z) / density(t);
    from six degrees of freedom on within 1e-5 of the true ones at 0.2–99.8 %.
    """
    steps = np.minimum(np.abs(np.asarray(z, dtype=float)), most_z) / _STEP
    at = np.minimum(steps.astype(int), len(_GRID) - 2)
    exact, slope = _on_grid(df)
    u, rise, first, last = steps - at, exact[at + 1] - exact[at], slope[at], slope[at + 1]
    cubic = exact[at] + u * (first + u * (3 * rise - 2 * first - last + u * (first + last - 2 * rise)))
    found: Floats = np.copysign(cubic, z)
    return found


def z_of(share: float) -> float:
    """Φ⁻¹ of a probability, clipped to ±3."""
    return _NORMAL.inv_cdf(min(max(share, 0.00135), 0.99865))


@lru_cache(maxsize=4096)
def _on_grid(df: float) -> tuple[Floats, Floats]:
    """The quantiles on the upper half of the grid, and how far each would rise in a step."""
    exact = quantile(np.array([_NORMAL.cdf(z) for z in _GRID]), df)
    normal = np.array([_NORMAL.pdf(z) for z in _GRID])
    return exact, _STEP * normal / density(exact, df)


def _norm(df: float) -> float:
    return exp(lgamma((df + 1.0) / 2.0) - lgamma(df / 2.0)) / sqrt(pi)
