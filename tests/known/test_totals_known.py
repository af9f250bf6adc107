"""Totals and scores of foretold minutes held against a textbook's project and another program's scores."""

from math import exp, log, sqrt

import numpy as np
import pytest
import scoringrules
from scipy import stats
from scipy.integrate import trapezoid

from shoptrack.engine import student
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.totals import Part, draw_min

# --- totals ------------------------------------------------------------------------------------------

# PERT example of Russell & Taylor: activities 1 to 7 as (least, likely, most); path 1-3-5-7, t = 24,
# P(≤ 28) = .9633 ± 2e-4. Read.
PERT = ((5, 8, 17), (7, 10, 13), (3, 5, 7), (1, 3, 5), (4, 6, 8), (3, 3, 3), (3, 4, 5))
PERT_PATH, PERT_DAYS, PERT_CHANCE = (1, 3, 5, 7), 24.0, 0.9633


def as_foretold(least: float, likely: float, most: float) -> Prediction:
    """A three-point estimate as ours: log-normal, of its mean (l + 4m + u)/6 and its sd (u − l)/6."""
    mean, sd = (least + 4 * likely + most) / 6, (most - least) / 6
    square = log(1 + (sd / mean) ** 2)
    return Prediction(df=2000.0, loc=log(mean) - square / 2, scale=sqrt(square))


def test_a_project_of_three_point_estimates() -> None:
    """Independent stages of the same means and sds; theirs is the normal distribution, ours is skew.

    Mean and variance must agree within the error of 40,000 draws and the clip (.5 %, 2 %). For the chance
    their tolerance is what skewness does: −γ/6 · (z² − 1)φ(z) (Edgeworth; any book), here about −.014; with
    that taken into account .003 is left for the next term.
    """
    path = [as_foretold(*PERT[n - 1]) for n in PERT_PATH]
    total = draw_min([Part(p) for p in path], 0.0, np.random.default_rng(1), 40_000).sum(axis=1)
    sds = [(PERT[n - 1][2] - PERT[n - 1][0]) / 6 for n in PERT_PATH]
    z = (28 - PERT_DAYS) / sqrt(sum(sd**2 for sd in sds))
    assert stats.norm.cdf(z) == pytest.approx(PERT_CHANCE, abs=2e-4)
    assert total.mean() == pytest.approx(PERT_DAYS, rel=0.005)
    assert total.var() == pytest.approx(sum(sd**2 for sd in sds), rel=0.02)
    chance = float(np.mean(total <= 28))
    assert chance == pytest.approx(PERT_CHANCE, abs=0.02)
    skew = float(stats.skew(total))
    assert chance == pytest.approx(PERT_CHANCE - skew / 6 * (z**2 - 1) * stats.norm.pdf(z), abs=0.005)


# --- scores ------------------------------------------------------------------------------------------

SCORED = (Prediction(6.0, log(100.0), 0.62), Prediction(9.0, 4.72523, 0.33953), Prediction(80.0, 3.0, 0.2))


@pytest.mark.parametrize("told", SCORED)
@pytest.mark.parametrize("off", [-2.5, -0.4, 0.0, 1.0, 4.0])
def test_scores_of_logarithms_against_a_closed_form(told: Prediction, off: float) -> None:
    """∫(F(x) − [x ≥ y])² dx by our cdf is scoringrules' closed form for Student's t (Jordan et al. 2019)."""
    steps = np.sinh(np.linspace(0.0, 5.0, 2001))
    below = trapezoid(student.cdf(off - steps, told.df) ** 2, steps)
    above = trapezoid(student.cdf(-off - steps, told.df) ** 2, steps)
    y = told.loc + off * told.scale
    theirs = scoringrules.crps_t(y, told.df, told.loc, told.scale)
    assert told.scale * (below + above) == pytest.approx(float(theirs), rel=1e-4)


def score_min(told: Prediction, minutes: float, count: int = 4000) -> float:
    """The score of foretold minutes: twice the mean pinball loss of quantiles within 0.2–99.8 %."""
    shares = (np.arange(count) + 0.5) / count
    found = np.exp(told.loc + told.scale * student.quantile_of_z(stats.norm.ppf(shares), told.df))
    return float(2.0 * np.mean(((minutes <= found) - shares) * (found - minutes)))


@pytest.mark.parametrize("told", SCORED)
@pytest.mark.parametrize("off", [-2.0, 0.0, 1.0, 3.0])
def test_scores_of_minutes_against_an_ensemble(told: Prediction, off: float) -> None:
    """Our 20,000 draws as an ensemble, scored by scoringrules; within 3 % of our quantiles' score.

    Minutes have no closed form: the mean of a log-t is infinite, so both are clipped at 0.2–99.8 %.
    """
    minutes = exp(told.loc + off * told.scale)
    drawn = draw_min([Part(told)], 0.3, np.random.default_rng(4), 20_000)[:, 0]
    theirs = float(scoringrules.crps_ensemble(minutes, drawn, estimator="pwm"))
    assert score_min(told, minutes) == pytest.approx(theirs, rel=0.03)


@pytest.mark.parametrize("minutes", [30.0, 90.0, 100.0, 160.0])
def test_scores_of_minutes_against_a_closed_form(minutes: float) -> None:
    """With many degrees of freedom minutes are log-normal, which has one; the clip takes less than .3 %."""
    told = Prediction(df=1e5, loc=log(100.0), scale=0.35)
    theirs = float(scoringrules.crps_lognormal(minutes, told.loc, told.scale))
    assert score_min(told, minutes) == pytest.approx(theirs, rel=0.003)
