"""What was learned of an edge → its survival curve, and the band that the true one lies in."""

from dataclasses import dataclass

import numpy as np

from shoptrack.engine.edge_life import EdgeFit
from shoptrack.engine.shapes.learned import Floats

LOW, HIGH = 0.1, 0.9
POINTS = 61
HEAVY = 1e-5
"""Lives that weigh less than this share of the likeliest move no line that can be seen."""


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The chance that an edge is still sharp after some effective hours, as it is expected to be.

    Of ten curves that may be true, at each of the hours one lies below ``low`` and one above ``high``.
    """

    hours: Floats
    sharp: Floats
    low: Floats
    high: Floats


def curve(fit: EdgeFit, until_h: float, points: int = POINTS) -> Curve:
    """The curve from a sharp edge to ``until_h`` effective hours (above 0), at even steps.

    Method: the survival of each Weibull life on the grid, by its weight; the band are weighted quantiles.
    """
    hours = np.linspace(0.0, until_h, points)
    heavy = fit.weights > HEAVY * fit.weights.max()
    shape = np.broadcast_to(fit.shapes[:, None], fit.weights.shape)[heavy]
    weight = fit.weights[heavy] / fit.weights[heavy].sum()
    sharp = np.exp(-((hours[:, None] / fit.scales_h[heavy]) ** shape))
    order = np.argsort(sharp, axis=1)
    ranked = np.take_along_axis(sharp, order, axis=1)
    share = np.cumsum(weight[order], axis=1)
    rows = np.arange(points)
    low = ranked[rows, np.argmax(share >= LOW, axis=1)]
    high = ranked[rows, np.argmax(share >= HIGH, axis=1)]
    return Curve(hours, fit.survival(hours), low, high)
