"""The survival curve of an edge as it is drawn: it falls, lies in its band, and closes in on a known life."""

import numpy as np
import pytest

from shoptrack.engine.edge_curve import POINTS, curve
from shoptrack.engine.edge_life import EdgeFit, Life, learn
from shoptrack.engine.shapes.learned import Floats


def test_the_curve_falls_from_sharp_to_dull() -> None:
    found = curve(learn((), 20.0), 80.0)
    assert len(found.hours) == POINTS
    for line in (found.sharp, found.low, found.high):
        assert line[0] == pytest.approx(1.0)
        assert np.all(np.diff(line) <= 1e-12)
    assert found.sharp[-1] < 0.05
    assert found.hours[-1] == pytest.approx(80)


def test_the_curve_lies_in_its_band_and_is_the_survival_of_the_fit() -> None:
    fit = learn([Life(14, True), Life(9, False), Life(17, True)], 20.0)
    found = curve(fit, 40.0, 21)
    assert found.sharp == pytest.approx(fit.survival(found.hours))
    within = (found.sharp > 0.02) & (found.sharp < 0.98)
    assert within.sum() >= 5
    assert np.all((found.low <= found.sharp) & (found.sharp <= found.high) | ~within)
    by_weight = np.array([float(fit.weights[scaled(fit, 20.0) <= found.low[10] + 1e-12].sum())])
    assert by_weight == pytest.approx([0.1], abs=0.02), "one in ten of the curves is below the band"


def scaled(fit: EdgeFit, hours: float) -> Floats:
    """The survival of each life on the grid at some hours, straight from Weibull's formula."""
    return np.asarray(np.exp(-((hours / fit.scales_h) ** fit.shapes[:, None])))


def test_many_lives_close_the_band() -> None:
    """A thousand lives that were drawn from one truth: the band lies about it, and is narrow."""
    drawn = 15.0 * np.random.default_rng(3).weibull(3.0, 1000)
    wide = curve(learn((), 15.0), 30.0)
    close = curve(learn([Life(float(h), True) for h in drawn], 15.0), 30.0)
    assert (close.high - close.low).max() < 0.06 < (wide.high - wide.low).max() / 4
    assert close.sharp == pytest.approx(np.exp(-((close.hours / 15.0) ** 3.0)), abs=0.04)
