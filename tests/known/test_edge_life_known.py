"""Lives of edges held against published lives of other things, other programs, and textbook intervals."""

import warnings
from collections.abc import Sequence
from math import exp, gamma, log, sqrt

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullFitter
from numpy.typing import NDArray
from scipy import stats
from scipy.integrate import quad
from scipy.optimize import brentq

from shoptrack.engine.edge_life import USUAL, Beliefs, Life, learn
from shoptrack.engine.edge_renewal import cheapest_h
from tests.bench.edges.methods import weibull_mle

# reliability silences numpy, warnings and some of pandas for good when imported: not for all other tests
with np.errstate(), warnings.catch_warnings(), pd.option_context("display.max_columns", 0):
    from reliability.Fitters import Fit_Weibull_2P
    from reliability.Repairable_systems import optimal_replacement_time

# --- greatest likelihood, as the books have it --------------------------------------------------------

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: ten failures, ten more running at 500 h. Read.
NIST_FAILED = (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)
NIST = [Life(h, True) for h in NIST_FAILED] + [Life(500, False)] * 10
NIST_SCALE, NIST_SHAPE, NIST_LN, NIST_AIC = 606.5280, 1.7208, -75.135, 154.27
NIST_MEAN, NIST_SD, NIST_LOGNORMAL_AIC = 540.737, 323.806, 154.39

# Meeker & Escobar (1998), Statistical Methods for Reliability Data, example 8.16: bearing cages. Quoted.
CAGE_FAILED = (230, 334, 423, 990, 1009, 1510)
# fmt: off
CAGE_RUNNING = {50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114, 850: 119,
                950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11, 1650: 6, 1850: 1,
                2050: 2}
# Lieblein & Zelen (1956), J. Res. Nat. Bur. Stand. 57: 23 ball bearings, millions of turns. The data were
# read; the result is from memory.
BALLS = (17.88, 28.92, 33, 41.52, 42.12, 45.6, 48.4, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64, 68.64, 68.88,
         84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.4)
# fmt: on
CAGE = [Life(h, True) for h in CAGE_FAILED] + [
    Life(h, False) for h, count in CAGE_RUNNING.items() for _ in range(count)
]
CAGE_SHAPE, CAGE_B10, CAGE_LN = 2.035, 3903.0, -76.436896
BEARINGS = [Life(h, True) for h in BALLS]
BALLS_SHAPE, BALLS_SCALE = 2.102, 81.87


def ln_likelihood(lives: Sequence[Life], shape: float, scale: float) -> float:
    """As a book writes it: the density of those seen to their end, the survival of the others."""
    h = np.array([life.effective_h for life in lives])
    dull = np.array([life.dull for life in lives])
    used = (h / scale) ** shape
    return float((np.log(shape / scale) + (shape - 1) * np.log(h / scale))[dull].sum() - used.sum())


def likeliest(lives: Sequence[Life]) -> tuple[float, float]:
    """Shape and scale of greatest likelihood: the root of its derivative in the shape, at the best scale."""
    h = np.array([life.effective_h for life in lives])
    dull = np.array([life.dull for life in lives])

    def slope(shape: float) -> float:
        powers = h**shape
        return float(powers @ np.log(h) / powers.sum() - 1 / shape - np.log(h[dull]).mean())

    shape = float(brentq(slope, 0.1, 30.0))
    return shape, float((np.sum(h**shape) / dull.sum()) ** (1 / shape))


def test_a_censored_weibull_as_the_handbook_prints_it() -> None:
    """To the printed digits; mean and deviation follow, and the lognormal has the larger AIC."""
    shape, scale = likeliest(NIST)
    assert scale == pytest.approx(NIST_SCALE, abs=2e-3)
    assert shape == pytest.approx(NIST_SHAPE, abs=5e-5)
    assert ln_likelihood(NIST, shape, scale) == pytest.approx(NIST_LN, abs=5e-4)
    assert 4 - 2 * ln_likelihood(NIST, shape, scale) == pytest.approx(NIST_AIC, abs=5e-3)
    mean = scale * gamma(1 + 1 / shape)
    assert mean == pytest.approx(NIST_MEAN, abs=5e-3)
    assert sqrt(scale**2 * gamma(1 + 2 / shape) - mean**2) == pytest.approx(NIST_SD, abs=5e-3)
    data = stats.CensoredData(uncensored=NIST_FAILED, right=[500] * 10)
    sd, _, median = stats.lognorm.fit(data, floc=0)
    lognormal = stats.lognorm(sd, scale=median)
    ln = lognormal.logpdf(NIST_FAILED).sum() + 10 * lognormal.logsf(500)
    assert 4 - 2 * ln == pytest.approx(NIST_LOGNORMAL_AIC, abs=5e-3)


def test_few_failures_among_many_running() -> None:
    """Six failures of 1,703 bearing cages: one in ten fails by an age far beyond any that did."""
    shape, scale = likeliest(CAGE)
    assert len(CAGE) == 1703
    assert shape == pytest.approx(CAGE_SHAPE, abs=5e-4)
    assert scale * (-log(0.9)) ** (1 / shape) == pytest.approx(CAGE_B10, abs=1.0)
    assert ln_likelihood(CAGE, shape, scale) == pytest.approx(CAGE_LN, abs=1e-4)


def test_ball_bearings() -> None:
    shape, scale = likeliest(BEARINGS)
    assert (shape, scale) == (pytest.approx(BALLS_SHAPE, abs=1e-3), pytest.approx(BALLS_SCALE, abs=0.01))


def test_the_judges_leave_numpy_watchful() -> None:
    """What is silenced at their import must not stay so: any test might lose its warnings."""
    assert {np.geterr()[what] for what in ("divide", "over", "invalid")} == {"warn"}
    with pytest.warns(RuntimeWarning):
        np.log(np.zeros(1))


ALL = pytest.mark.parametrize("lives", [NIST, CAGE, BEARINGS], ids=["handbook", "cages", "balls"])


@ALL
def test_three_other_programs_agree(lives: list[Life]) -> None:
    """lifelines, reliability and scipy, to a thousandth: each searches by itself."""
    shape, scale = likeliest(lives)
    h, dull = [life.effective_h for life in lives], [life.dull for life in lives]
    ended = [x for x, seen in zip(h, dull, strict=True) if seen]
    running = [x for x, seen in zip(h, dull, strict=True) if not seen]
    first = WeibullFitter().fit(h, dull)
    second = Fit_Weibull_2P(ended, running or None, show_probability_plot=False, print_results=False)
    third, _, third_scale = stats.weibull_min.fit(stats.CensoredData(uncensored=ended, right=running), floc=0)
    found = [(first.rho_, first.lambda_), (second.beta, second.alpha), (third, third_scale)]
    for other_shape, other_scale in found:
        assert other_shape == pytest.approx(shape, rel=1e-3)
        assert other_scale == pytest.approx(scale, rel=2e-3)
    assert first.log_likelihood_ == pytest.approx(ln_likelihood(lives, shape, scale), abs=1e-3)


@ALL
def test_the_measured_baseline_is_the_same(lives: list[Life]) -> None:
    """What ours is measured against (tests/bench/edges) looks along 600 shapes, half a per cent apart."""
    assert weibull_mle(lives) == pytest.approx(likeliest(lives), rel=0.01)


# --- our grid -----------------------------------------------------------------------------------------

VAGUE = Beliefs(shape=2.0, shape_sd=5.0, median_sd=5.0)


def told_by_lives(lives: list[Life], usual_h: float, beliefs: Beliefs, least: float) -> NDArray[np.float64]:
    """Rows of ln shape, ln median, and the ln of what a heavy point of our grid owes to the lives alone."""
    fit = learn(lives, usual_h, beliefs)
    i, j = np.argwhere(fit.weights > least * fit.weights.max()).T
    x, y = np.log(fit.shapes[i]), np.log(fit.medians_h[j])
    believed = stats.norm.logpdf(x, log(beliefs.shape), beliefs.shape_sd)
    believed += stats.norm.logpdf(y, log(usual_h), beliefs.median_sd)
    return np.column_stack([x, y, np.log(fit.weights[i, j]) - believed])


@ALL
@pytest.mark.parametrize("beliefs", [USUAL, VAGUE], ids=["usual", "vague"])
def test_the_grid_weighs_by_likelihood_and_belief(lives: list[Life], beliefs: Beliefs) -> None:
    """Two points differ by their likelihoods as the book writes them, and by two normal densities (scipy)."""
    rows = told_by_lives(lives, 60.0, beliefs, 1e-3)
    assert len(rows) > 20
    ln = np.array([ln_likelihood(lives, exp(x), exp(y) / log(2) ** exp(-x)) for x, y, _ in rows])
    np.testing.assert_allclose(rows[:, 2] - rows[0, 2], ln - ln[0], atol=1e-8)


@ALL
def test_told_nothing_the_top_of_the_grid_is_where_likelihood_is_greatest(lives: list[Life]) -> None:
    """A paraboloid through the logs of the heavy weights: its top is within an eighth of a standard error."""
    shape, scale = likeliest(lives)
    median = scale * log(2) ** (1 / shape)
    x, y, told = told_by_lives(lives, 2.0 * median, VAGUE, 0.5).T
    x, y = x - log(shape), y - log(median)
    columns = np.column_stack([np.ones_like(x), x, y, x**2, x * y, y**2])
    _, a, b, c, d, e = np.linalg.lstsq(columns, told, rcond=None)[0]
    curved = -np.array([[2 * c, d], [d, 2 * e]])
    off, errors = np.linalg.solve(curved, [a, b]), np.sqrt(np.diag(np.linalg.inv(curved)))
    assert np.all(np.abs(off) < errors / 8)


def test_its_mean_survival_is_an_integral_over_what_is_believed() -> None:
    """The whole posterior of three blades by adaptive quadrature (scipy), against our sums over a grid."""
    lives, usual_h = [Life(18.0, True), Life(27.0, True), Life(15.0, False)], 22.0

    def weight(ln_shape: float, ln_median: float) -> float:
        shape, scale = exp(ln_shape), exp(ln_median) / log(2) ** exp(-ln_shape)
        prior = ((ln_shape - log(3.2)) / 0.35) ** 2 + ((ln_median - log(usual_h)) / 0.5) ** 2
        return exp(ln_likelihood(lives, shape, scale) - prior / 2)

    nodes, parts = np.polynomial.legendre.leggauss(60)
    ln_shapes = log(0.8) + (nodes + 1) / 2 * log(10 / 0.8)
    top, bottom = np.zeros(2), 0.0
    for ln_shape, part in zip(ln_shapes, parts, strict=True):
        bottom += part * quad(lambda m, s=ln_shape: weight(s, m), 0.5, 6.5, limit=200)[0]
        for n, h in enumerate((12.0, 30.0)):

            def sharp(m: float, s: float = ln_shape, h: float = h) -> float:
                return weight(s, m) * exp(-log(2) * (h / exp(m)) ** exp(s))

            top[n] += part * quad(sharp, 0.5, 6.5, limit=200)[0]
    assert learn(lives, usual_h).survival(np.array([12.0, 30.0])) == pytest.approx(top / bottom, abs=0.002)


# --- how far lives differ -----------------------------------------------------------------------------

# Wager & Barash (1971), "Study of the distribution of the life of HSS tools", J. Eng. Ind. 93(4): coefficient
# of variation about 0.3. Read (abstract).
SPREAD = 0.3


def test_the_published_spread_of_tool_lives_is_inside_what_is_believed() -> None:
    """.3 is a shape of 3.7; the middle 80 % of what is believed before runs from 1.8 to 4.4."""
    shape = float(brentq(lambda k: sqrt(gamma(1 + 2 / k) / gamma(1 + 1 / k) ** 2 - 1) - SPREAD, 1.0, 9.0))
    assert shape == pytest.approx(3.7, abs=0.05)
    by_shape = np.cumsum(learn([], 20.0).weights.sum(axis=1))
    share = float(np.interp(log(shape), np.log(learn([], 20.0).shapes), by_shape))
    assert 0.1 < share < 0.9
    low, high = stats.lognorm(USUAL.shape_sd, scale=USUAL.shape).ppf([0.1, 0.9])
    assert low < shape < high


# --- the cheapest interval ----------------------------------------------------------------------------


def test_the_cheapest_interval_as_published() -> None:
    """Shape 2.5, scale 1,000 h, 1 planned, 5 when it fails: 493.047 h at .0034620 an hour.

    The documentation of the Python package reliability (age replacement); read, and reckoned again.
    """
    found = cheapest_h((2.5, 1000.0), 1.0, 5.0)
    assert found is not None
    assert found.every_h == pytest.approx(493.047, abs=0.001)
    assert found.cents_per_h == pytest.approx(0.0034620, abs=1e-7)
    judge = optimal_replacement_time(
        1, 5, 1000, 2.5, show_time_plot=False, show_ratio_plot=False, print_results=False
    )
    assert found.every_h == pytest.approx(judge.ORT, abs=0.5)  # it looks along a line of 0.15 h and more
    assert found.cents_per_h == pytest.approx(judge.min_cost, rel=1e-6)


@pytest.mark.parametrize(("ratio", "age"), [(5.0, 0.51066), (10.0, 0.33645)])
def test_of_shape_two(ratio: float, age: float) -> None:
    """Shape 2, scale 1: the root of 2τ·∫₀^τ S − F(τ) = 1/(ratio − 1), by scipy; that gave the digits."""

    def over(tau: float) -> float:
        sharp = quad(lambda x: exp(-(x**2)), 0, tau)[0]
        return 2 * tau * sharp - (1 - exp(-(tau**2))) - 1 / (ratio - 1)

    found = cheapest_h((2.0, 1.0), 1.0, ratio)
    assert found is not None
    assert found.every_h == pytest.approx(age, abs=5e-6)
    assert found.every_h == pytest.approx(float(brentq(over, 0.01, 3.0)), abs=1e-6)


def test_never_early_where_age_is_no_worse() -> None:
    """Shape 1 and less: the rate at which they fail doesn't grow (the same documentation)."""
    assert cheapest_h((1.0, 1000.0), 1.0, 5.0) is None
    assert cheapest_h((0.8, 1000.0), 1.0, 5.0) is None
