"""Learned stage times held against published data sets, tables and other programs' answers."""

from collections.abc import Sequence
from dataclasses import replace
from math import exp, log, sqrt
from pathlib import Path

import numpy as np
import pytest
import scipy
from numpy.typing import NDArray
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM

from shoptrack.engine import student
from shoptrack.engine.durations import USUAL, Beliefs, fit, predict, quantile_min
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Fit, Floats, Log

ONE = Rule(setup_min=1.0, rate_min=0.0)
"""Of this rule of thumb the logarithm is nought, so that ln(minutes) is what is fitted."""

VAGUE = replace(USUAL, noise=1.0, shift_sd=1e4, half_life=None, wild_from=None)
"""Nothing is believed of the shift; how far patterns differ is set beside each check."""


def logs_of(groups: Sequence[Sequence[float]]) -> list[Log]:
    """Groups of ln(minutes), each a pattern, as logs."""
    return [Log(f"{p}-{n}", exp(y), 1.0, p) for p, group in enumerate(groups) for n, y in enumerate(group)]


def effects(learned: Fit) -> Floats:
    """What the patterns differ from the shift, in their order."""
    return np.array([learned.mean[learned.columns[p]] for p in sorted(learned.columns)])


# --- Student's t -------------------------------------------------------------------------------------


@pytest.mark.parametrize("df", [5.0, 6.0, 7.5, 9.0, 12.0, 20.0, 33.3, 60.0, 120.0, 250.0, 500.0])
def test_student_against_scipy(df: float) -> None:
    """Quantiles to 1e-6 as the method promises, cdf and density to 1e-10; scipy.stats.t is the judge."""
    shares = np.concatenate([[0.0005, 0.002, 0.005], np.linspace(0.01, 0.99, 99), [0.995, 0.998, 0.9995]])
    np.testing.assert_allclose(student.quantile(shares, df), stats.t.ppf(shares, df), atol=1e-6)
    t = np.linspace(-30.0, 30.0, 301)
    np.testing.assert_allclose(student.cdf(t, df), stats.t.cdf(t, df), atol=1e-10)
    np.testing.assert_allclose(student.density(t, df), stats.t.pdf(t, df), atol=1e-10)


def test_student_against_the_printed_table() -> None:
    """Three decimals of the table at the back of every book on statistics (from memory)."""
    table = {(0.975, 5): 2.571, (0.975, 10): 2.228, (0.95, 20): 1.725, (0.995, 30): 2.750, (0.9, 120): 1.289}
    for (share, df), printed in table.items():
        assert float(student.quantile(share, df)) == pytest.approx(printed, abs=0.0005)


# --- pooling: six batches of dyestuff ----------------------------------------------------------------

# Davies & Goldsmith (1972), Statistical Methods in Research and Production, §6.4, the data set "Dyestuff":
# yield in grams of standard colour, six batches of five. Read. REML between 1764.05, within 2451.25, mean
# 1527.5; shrunken effects below.
DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)
SHRUNKEN = (-17.607, 0.391, 28.562, -23.085, 56.733, -44.995)
BATCHES = replace(VAGUE, pattern_sd=sqrt(1764.05 / 2451.25))
"""Ours takes the ratio of the two variances as given where REML finds it: here it is the published one."""


def test_the_six_batches_shrink_as_published() -> None:
    """ln(minutes) is the yield in hundreds from 1527.5, so logs are no difference.

    What differs: our ratio of variances is believed, not found, and the shift has a (here vague) prior. The
    ratio settles the effects, so they must agree to the printed digits.
    """
    learned = fit(logs_of([[(y - 1527.5) / 100 for y in batch] for batch in DYESTUFF]), ONE, BATCHES)
    assert 100 * effects(learned) == pytest.approx(SHRUNKEN, abs=0.001)
    assert 1527.5 + 100 * learned.mean[0] == pytest.approx(1527.5, abs=1e-3)
    # at the ratio that REML found, what is left over n − 1 is its variance within
    left = 2 * (learned.b - BATCHES.a * BATCHES.noise**2)
    assert 1e4 * left / 29 == pytest.approx(2451.25, rel=1e-4)


def test_the_six_batches_as_minutes_shrink_nearly_so() -> None:
    """The yields themselves as minutes: ln(1 + x) for x up to 7 % bends effects by x/2, under 2 of 57."""
    learned = fit(logs_of(np.log(DYESTUFF).tolist()), ONE, BATCHES)
    centre = exp(learned.mean[0])
    assert centre == pytest.approx(1527.5, rel=0.002)  # a mean of logs lies σ²/2 = .13 % lower
    assert centre * np.expm1(effects(learned)) == pytest.approx(SHRUNKEN, abs=2.0)


# --- pooling: instruments that are all alike ---------------------------------------------------------


def instruments() -> list[list[float]]:
    """NIST StRD SiRstv: resistance of silicon by five instruments, five times each; ships with scipy."""
    path = Path(scipy.__file__).parent / "stats/tests/data/nist_anova/SiRstv.dat"
    rows = [line.split() for line in path.read_text(encoding="ascii").splitlines()[60:85]]
    return [[float(y) for group, y in rows if int(group) == g] for g in range(1, 6)]


# Certified by NIST: mean squares between 1.27865654e-2, within 1.0831828e-2, F 1.18046237440255. Read.
MS_BETWEEN, MS_WITHIN, NIST_F = 1.27865654e-2, 1.0831828e-2, 1.18046237440255


def test_instruments_that_barely_differ_shrink_to_nearly_nothing() -> None:
    """At the ratio of the certified mean squares (between = (MSB − MSW)/5) each mean keeps 1 − 1/F of it.

    Five of six parts of every difference are noise. The certified digits are used whole, so 1e-6 must hold.
    """
    data = instruments()
    assert stats.f_oneway(*data).statistic == pytest.approx(NIST_F, rel=1e-9)
    ratio = (MS_BETWEEN - MS_WITHIN) / 5 / MS_WITHIN
    learned = fit(
        logs_of([[y - 196.0 for y in group] for group in data]), ONE, replace(VAGUE, pattern_sd=sqrt(ratio))
    )
    raw = np.mean(data, axis=1) - np.mean(data)
    np.testing.assert_allclose(effects(learned), (1 - 1 / NIST_F) * raw, atol=1e-6)
    assert np.max(np.abs(effects(learned))) < 0.16 * np.max(np.abs(raw))
    # at that ratio what is left over n − 1 is the certified mean square within
    left = 2 * (learned.b - VAGUE.a * VAGUE.noise**2)
    assert left / 24 == pytest.approx(MS_WITHIN, rel=1e-6)


# --- pooling: a program for mixed models -------------------------------------------------------------


def mixed(y: Floats, columns: Floats, groups: NDArray[np.int_]) -> tuple[float, Floats, Floats]:
    """REML by statsmodels: between over within, the fixed effects, and the shrunken ones in order."""
    found = MixedLM(y, columns, groups).fit(reml=True, method="powell")
    shrunken = np.array([np.asarray(found.random_effects[g])[0] for g in np.unique(groups)])
    return float(np.asarray(found.cov_re)[0, 0] / found.scale), np.asarray(found.fe_params), shrunken


def test_the_six_batches_by_statsmodels() -> None:
    """A second judge of the published numbers, and of ours at the ratio that it finds itself."""
    y = (np.array(DYESTUFF, dtype=float).ravel() - 1527.5) / 100
    ratio, fixed, shrunken = mixed(y, np.ones((30, 1)), np.repeat(np.arange(6), 5))
    assert 100 * shrunken == pytest.approx(SHRUNKEN, abs=0.002)  # its search ends within 1e-4 of the ratio
    beliefs = replace(VAGUE, pattern_sd=sqrt(ratio))
    learned = fit(logs_of(y.reshape(6, 5).tolist()), ONE, beliefs)
    np.testing.assert_allclose(effects(learned), shrunken, atol=1e-6)
    assert learned.mean[0] == pytest.approx(fixed[0], abs=1e-6)


def test_an_uneven_shop_by_statsmodels() -> None:
    """Eight patterns with 1 to 15 logs, a power of the measure and of repeats: shift, powers and patterns.

    Ours with vague beliefs of the three common coefficients, at the ratio that REML found.
    """
    rng = np.random.default_rng(20)
    pattern = np.repeat(np.arange(8), [1, 2, 3, 5, 8, 10, 12, 15])
    quantity, repeats = rng.uniform(3.0, 60.0, 56), rng.integers(0, 12, 56)
    usual = 0.2 + 0.85 * np.log(quantity) - 0.1 * np.log1p(repeats) + rng.normal(0.0, 0.3, 8)[pattern]
    minutes = np.exp(3.0 + usual + rng.normal(0.0, 0.25, 56))
    logs = [
        Log(str(n), float(minutes[n]), float(quantity[n]), int(pattern[n]), int(repeats[n]))
        for n in range(56)
    ]
    centred = np.log(quantity) - np.log(quantity).mean()
    columns = np.column_stack([np.ones(56), centred, np.log1p(repeats)])
    ratio, fixed, shrunken = mixed(np.log(minutes), columns, pattern)
    vague = replace(VAGUE, power_sd=1e4, repeat_sd=1e4, pattern_sd=sqrt(ratio))
    learned = fit(logs, ONE, vague)
    np.testing.assert_allclose(learned.mean[:3], fixed, atol=1e-5)
    np.testing.assert_allclose(effects(learned), shrunken, atol=1e-5)
    assert 0.05 < ratio < 20.0


# --- intervals ---------------------------------------------------------------------------------------

# Montgomery & Runger, Applied Statistics and Probability for Engineers, Ex. 8-4 and 8-6: adhesion of 22
# specimens. Mean 13.71, s 3.55 and the interval of the mean 12.14–15.28 were read; the prediction interval
# 6.16–21.26 is from memory.
# fmt: off
ADHESION = (19.8, 10.1, 14.9, 7.5, 15.4, 15.4, 15.4, 18.5, 7.9, 12.7, 11.9,
            11.4, 11.4, 14.1, 17.6, 16.7, 15.8, 19.5, 8.8, 13.6, 11.9, 11.4)
# fmt: on
# a = −½ is the prior 1/σ² of the textbook's interval: one degree of freedom goes to the mean
TEXTBOOK = Beliefs(noise=1e-3, shift_sd=1e3, pattern_sd=0.0, a=-0.5, half_life=None, wild_from=None)


def test_a_textbook_interval_for_the_next_one() -> None:
    """Logs are exp() of the data, so that ours on the logs is theirs. Printed to two digits: within .005.

    Their bounds come from 13.71 and 3.55 as rounded, which moves them by at most .005 + 2.13 · .005.
    """
    learned = fit([Log(str(n), exp(x), 1.0) for n, x in enumerate(ADHESION)], ONE, TEXTBOOK)
    foretold = predict(learned, 1.0)
    assert foretold.df == 21
    bounds = [log(quantile_min(foretold, share)) for share in (0.025, 0.975)]
    assert bounds == pytest.approx([6.16, 21.26], abs=0.016)
    of_mean = sqrt(learned.b / learned.a * learned.spread[0, 0]) * float(student.quantile(0.975, 21))
    assert [foretold.loc - of_mean, foretold.loc + of_mean] == pytest.approx([12.14, 15.28], abs=0.011)


def test_an_interval_for_the_next_stage_is_the_log_t_one() -> None:
    """exp of mean ± t(n−1) · s · √(1 + 1/n) of the logarithms, with quantiles by scipy."""
    learned = fit([Log(str(n), x, 1.0) for n, x in enumerate(ADHESION)], ONE, TEXTBOOK)
    y = np.log(ADHESION)
    for share in (0.025, 0.1, 0.5, 0.9, 0.975):
        wanted = exp(y.mean() + stats.t.ppf(share, 21) * y.std(ddof=1) * sqrt(1 + 1 / 22))
        assert quantile_min(predict(learned, 1.0), share) == pytest.approx(wanted, rel=1e-5)


# --- learning curves ---------------------------------------------------------------------------------

WIDE = replace(USUAL, shift_sd=100.0, power_sd=100.0, repeat_sd=100.0, half_life=None, wild_from=None)
EIGHTY = log(0.8, 2)
"""Each doubling takes 80 %: the power of the curve."""

# Unit times by Crawford at 80 %, and their sum up to the tenth: standard tables, as quoted on secondary pages
# (RAND RM-6191 is the authority).
CRAWFORD = {2: 0.8000, 4: 0.6400, 8: 0.5120, 10: 0.4765, 20: 0.3812, 100: 0.2271}
CUMULATIVE_10 = 6.315


def test_repeats_learn_an_eighty_percent_curve() -> None:
    """From the first six orders the power is found and the hundredth foretold, to the printed digits."""
    first = [Log(str(n), 100.0 * n**EIGHTY, 1.0, 1, n - 1) for n in range(1, 7)]
    learned = fit(first, Rule(100.0, 0.0), WIDE)
    assert learned.mean[2] == pytest.approx(EIGHTY, abs=1e-5)
    unit = {n: quantile_min(predict(learned, 1.0, 1, n - 1), 0.5) / 100 for n in range(1, 101)}
    assert [unit[n] for n in CRAWFORD] == pytest.approx(list(CRAWFORD.values()), abs=6e-5)
    assert sum(unit[n] for n in range(1, 11)) == pytest.approx(CUMULATIVE_10, abs=0.001)


def test_batches_learn_an_average_that_falls_by_eighty_percent() -> None:
    """Wright's form: the *average* of a doubled batch is 80 %. Average of 2: .80, of 4: .64; second unit .60.

    Source: Wideman, Appendix 2; read. Here it is a batch's measure that costs by a power.
    """
    batches = [Log(str(q), 100.0 * q * q**EIGHTY, float(q)) for q in (1, 2, 3, 5, 8)]
    learned = fit(batches, Rule(0.0, 100.0), WIDE)
    whole = {q: quantile_min(predict(learned, q), 0.5) / 100 for q in (1, 2, 4)}
    assert (whole[2] / 2, whole[4] / 4) == pytest.approx((0.80, 0.64), abs=1e-4)
    assert whole[2] - whole[1] == pytest.approx(0.60, abs=2e-4)
