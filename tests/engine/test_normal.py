"""The normal quantile, held against SciPy and Python's own, far into the tails and over whole arrays."""

from math import erfc, inf, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from shoptrack.engine import normal

NORMAL = NormalDist()
MIDDLE = np.linspace(1e-6, 1.0 - 1e-6, 20_001)
TAIL = np.logspace(-300, np.log10(0.5), 20_001)


@pytest.mark.parametrize("p", [MIDDLE, TAIL, 1.0 - np.logspace(-16, -1, 301)], ids=["middle", "low", "high"])
def test_it_is_what_scipy_says(p: np.ndarray) -> None:
    """SciPy's own is by another method (Cephes, ndtri)."""
    np.testing.assert_allclose(normal.quantile(p), norm.ppf(p), rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize(
    "p", [0.075, 0.925, 0.075 - 1e-12, 0.925 + 1e-12, np.exp(-25.0), np.exp(-25.0) * 1.01]
)
def test_the_parts_meet_without_a_step(p: float) -> None:
    """The middle ends where |p − ½| is .425, the near tail where √(−ln p) is 5."""
    around = np.array([np.nextafter(p, 0.0), p, np.nextafter(p, 1.0)])
    found = normal.quantile(around)
    assert np.ptp(found) < 1e-12 * abs(found[1])
    assert found[1] == pytest.approx(NORMAL.inv_cdf(p), rel=1e-14)


@pytest.mark.parametrize(
    ("p", "z"), [(0.5, 0.0), (0.8413447461, 1.0), (0.975, 1.959963985), (0.9986501020, 3.0)]
)
def test_it_is_what_tables_say(p: float, z: float) -> None:
    """Any table of the normal distribution."""
    assert float(normal.quantile(p)) == pytest.approx(z, abs=1e-7)


@given(st.floats(1e-300, 0.5))
def test_the_chance_below_it_is_the_share(p: float) -> None:
    """Φ(z) = ½·erfc(−z/√2), whose relative error grows with z²."""
    z = float(normal.quantile(p))
    assert 0.5 * erfc(-z / sqrt(2.0)) == pytest.approx(p, rel=1e-12 * (1.0 + z * z / 10))


@given(st.floats(1e-16, 1.0 - 1e-15))
def test_it_is_the_same_alone_as_among_many(p: float) -> None:
    among = normal.quantile(np.array([[0.3, p], [1e-200, 0.999]]))
    assert among.shape == (2, 2)
    assert normal.quantile(p).shape == ()
    assert float(among[0, 1]) == float(normal.quantile(p))


def test_more_is_farther_out_and_the_halves_mirror_each_other() -> None:
    for p in (MIDDLE, TAIL):
        assert np.all(np.diff(normal.quantile(p)) > 0.0)
    p = np.arange(1, 2**10) / 2**11  # such shares and what is left of one are exact
    assert np.array_equal(normal.quantile(p), -normal.quantile(1.0 - p))
    assert np.all(np.abs(normal.quantile(TAIL)) < inf)


def test_nothing_is_drawn_from_nothing() -> None:
    assert normal.quantile(np.array([])).shape == (0,)
