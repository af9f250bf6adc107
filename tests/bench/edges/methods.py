"""Lives as written down → what simple methods, ours and one that knows all say of the next one."""

from collections.abc import Sequence
from math import log

import numpy as np

from shoptrack.engine import normal
from shoptrack.engine.edge_life import EdgeFit, Life
from shoptrack.engine.shapes.learned import Floats
from tests.bench.scores import LEVELS

FIXED_SD = 0.3
"""How far lives of tools differ, whatever the tool (Wager and Barash, 1971: coefficient of variation .3)."""
_SHAPES = np.geomspace(0.2, 60.0, 600)


def fixed(usual_h: float) -> Floats:
    """The usual life ± three tenths, always."""
    return np.asarray(np.maximum(usual_h * (1.0 + FIXED_SD * normal.quantile(LEVELS)), 0.0))


def likeliest(lives: Sequence[Life], usual_h: float) -> Floats:
    """The Weibull life of greatest likelihood; until two were found dull there is none, so the fixed one."""
    if sum(life.dull for life in lives) < 2:
        return fixed(usual_h)
    shape, scale_h = weibull_mle(lives)
    return np.asarray(scale_h * (-np.log1p(-LEVELS)) ** (1.0 / shape))


def weibull_mle(lives: Sequence[Life]) -> tuple[float, float]:
    """Shape and scale of greatest likelihood on a line of shapes, each with its best scale."""
    ln_t = np.log([life.effective_h for life in lives])
    dull = np.array([life.dull for life in lives])
    count = int(dull.sum())
    sums = np.logaddexp.reduce(_SHAPES[:, None] * ln_t, axis=1)
    ln_scale = (sums - log(count)) / _SHAPES
    ln = count * (np.log(_SHAPES) - _SHAPES * ln_scale) + (_SHAPES - 1.0) * ln_t[dull].sum() - count
    best = int(np.argmax(ln))
    return float(_SHAPES[best]), float(np.exp(ln_scale[best]))


def found_mean(lives: Sequence[Life], usual_h: float) -> Floats:
    """Mean and deviation of the lives that were seen to their end, as if there were no others."""
    seen = np.array([life.effective_h for life in lives if life.dull])
    if len(seen) < 2:
        return fixed(usual_h)
    return np.asarray(np.maximum(seen.mean() + seen.std(ddof=1) * normal.quantile(LEVELS), 0.0))


def ours(fit: EdgeFit, rng: np.random.Generator) -> Floats:
    """What is shipped, as sorted draws."""
    return np.sort(fit.draw_left(0.0, len(LEVELS), rng))
