"""Student's t: closed forms where there are some, and what any distribution must hold."""

from math import atan, pi, sqrt
from statistics import NormalDist
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine import student
from shoptrack.engine.shapes.learned import Floats

DFS = (2.0, 5.0, 6.0, 9.3, 30.0, 120.5, 500.0, 2000.0)
NORMAL = NormalDist()
degrees = st.floats(5.0, 2000.0)
shares = st.floats(1e-5, 1.0 - 1e-5)


def one(value: Floats) -> float:
    return float(value)


def test_one_degree_of_freedom_is_the_arc_tangent() -> None:
    """F(t) = ½ + atan(t)/π (Cauchy; arithmetic)."""
    for t in (-40.0, -1.0, 0.0, 0.3, 1.0, 7.0):
        assert one(student.cdf(t, 1.0)) == pytest.approx(0.5 + atan(t) / pi, abs=1e-13)


def test_two_degrees_of_freedom_have_a_closed_form_both_ways() -> None:
    """F(t) = ½ + t / (2√(2 + t²)), so Q(p) = (2p − 1) / √(2p(1 − p)) (arithmetic)."""
    for p in (0.001, 0.02, 0.4, 0.5, 0.8, 0.998):
        t = (2 * p - 1) / sqrt(2 * p * (1 - p))
        assert one(student.cdf(t, 2.0)) == pytest.approx(p, abs=1e-13)
        assert one(student.quantile(p, 2.0)) == pytest.approx(t, rel=1e-9, abs=1e-12)


def test_many_degrees_of_freedom_are_the_normal_distribution() -> None:
    for p in (0.01, 0.1, 0.5, 0.9, 0.99):
        assert one(student.quantile(p, 1e6)) == pytest.approx(NORMAL.inv_cdf(p), abs=1e-5)


@given(shares, degrees)
@settings(max_examples=30)
def test_quantile_and_cdf_undo_each_other(p: float, df: float) -> None:
    assert one(student.cdf(student.quantile(p, df), df)) == pytest.approx(p, abs=1e-10)


@given(shares, degrees)
@settings(max_examples=30)
def test_the_two_halves_mirror_each_other(p: float, df: float) -> None:
    assert one(student.quantile(p, df)) == pytest.approx(-one(student.quantile(1.0 - p, df)), abs=1e-6)
    assert one(student.cdf(-1.3, df)) + one(student.cdf(1.3, df)) == pytest.approx(1.0, abs=1e-14)


@given(degrees)
@settings(max_examples=30)
def test_more_t_is_more_likely(df: float) -> None:
    assert np.all(np.diff(student.cdf(np.linspace(-6.0, 6.0, 400), df)) > 0.0)


@pytest.mark.parametrize("df", DFS)
def test_the_density_is_the_slope_of_the_cdf(df: float) -> None:
    t, step = np.linspace(-6.0, 6.0, 41), 1e-4
    slope = (student.cdf(t + step, df) - student.cdf(t - step, df)) / (2 * step)
    np.testing.assert_allclose(student.density(t, df), slope, atol=1e-8)


def test_arrays_keep_their_shape() -> None:
    p = np.array([[0.1, 0.5, 0.9], [0.2, 0.6, 0.8]])
    assert student.quantile(p, 6.0).shape == student.cdf(p, 6.0).shape == p.shape
    assert student.quantile_of_z(p, 6.0).shape == p.shape
    assert student.quantile(0.3, 6.0).shape == ()
    assert one(student.quantile(0.5, 6.0)) == 0.0


@pytest.mark.parametrize("df", [df for df in DFS if df >= 6.0])
def test_between_its_points_the_grid_is_as_good_as_it_says(df: float) -> None:
    """Seven points in each step of the grid, over all of 0.2–99.8 %."""
    z = np.linspace(student.LEAST_Z, student.MOST_Z, 323)
    exact = student.quantile(np.array([NORMAL.cdf(x) for x in z]), df)
    assert np.max(np.abs(student.quantile_of_z(z, df) - exact)) < 1e-5


def test_beyond_two_in_a_thousand_nothing_is_told_unless_asked() -> None:
    far = np.array([-9.0, 9.0])
    ends = student.quantile(np.array([NORMAL.cdf(student.LEAST_Z), NORMAL.cdf(student.MOST_Z)]), 6.0)
    np.testing.assert_allclose(student.quantile_of_z(far, 6.0), ends, atol=1e-5)
    assert one(student.quantile_of_z(np.array(9.0), 6.0, 5.0)) == pytest.approx(
        one(student.quantile(NORMAL.cdf(5.0), 6.0)), rel=1e-5
    )


def test_far_out_the_search_comes_to_an_end() -> None:
    """Where the density is a billionth, rounding hides the last digits: it stops there, after few steps."""
    with patch.object(student, "cdf", wraps=student.cdf) as steps:
        found = one(student.quantile(1.0 - 1e-7, 6.0))
    assert steps.call_count < 20
    assert one(student.cdf(-found, 6.0)) == pytest.approx(1e-7, rel=1e-5)


@pytest.mark.parametrize(
    ("share", "z"), [(0.5, 0.0), (0.8413447, 1.0), (0.0, -3.0), (1.0, 3.0), (1e-9, -3.0)]
)
def test_a_surprise_stays_within_three(share: float, z: float) -> None:
    """Φ(1) = .8413447 (any table of the normal distribution)."""
    assert student.z_of(share) == pytest.approx(z, abs=1e-4)
