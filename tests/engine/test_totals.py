"""Totals of a job's stages, drawn: held against draws and integrals made another way (scipy)."""

from math import asin, exp, log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from shoptrack.engine import student
from shoptrack.engine.durations import chance_under, quantile_min
from shoptrack.engine.shapes.learned import Floats, Prediction
from shoptrack.engine.totals import MOST_LIKENESS, Part, draw_min, likeness, surprise

GLUE_UP = Prediction(df=6.0, loc=log(100.0), scale=0.6)
CARVING = Prediction(df=12.0, loc=log(300.0), scale=0.35)
SANDING = Prediction(df=40.0, loc=log(45.0), scale=0.25)
BELL = Prediction(df=1e5, loc=0.0, scale=1.0)
"""So many degrees of freedom that ln(minutes) is the z itself."""

JOB = [Part(GLUE_UP), Part(CARVING), Part(SANDING)]
MANY = 20_000


def rng(seed: int = 7) -> np.random.Generator:
    return np.random.default_rng(seed)


def zs(parts: int, rho: float, count: int = MANY, surprises: tuple[float, ...] = ()) -> Floats:
    """The z of stages to come, read back from their minutes."""
    return np.asarray(np.log(draw_min([Part(BELL)] * parts, rho, rng(), count, surprises)))


def joint(stages: int, rho: float) -> tuple[Floats, Floats]:
    """Mean and covariance of the stages' z, as textbooks write a one-factor model."""
    return np.zeros(stages), (1.0 - rho) * np.eye(stages) + rho * np.ones((stages, stages))


# --- stages to come -----------------------------------------------------------------------------------


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.9])
def test_each_stage_alone_is_as_it_was_foretold(rho: float) -> None:
    """However alike they run. A share's own error is √(p(1−p)/n) ≤ .0035 here: three of them are .011."""
    drawn = draw_min(JOB, rho, rng(), MANY)
    for n, part in enumerate(JOB):
        for share in (0.05, 0.1, 0.5, 0.9, 0.95):
            under = np.mean(drawn[:, n] < quantile_min(part.foretold, share))
            assert under == pytest.approx(share, abs=0.011)


def test_without_likeness_stages_are_independent() -> None:
    """Correlations of ranks within four of their errors 1/√n, and variances add up."""
    drawn = draw_min(JOB, 0.0, rng(), MANY)
    ranks = stats.spearmanr(drawn).statistic
    assert np.max(np.abs(ranks - np.eye(3))) < 4 / sqrt(MANY)
    assert drawn.sum(axis=1).var() == pytest.approx(drawn.var(axis=0).sum(), rel=0.05)


@pytest.mark.parametrize("rho", [0.2, 0.6, 0.9])
def test_ranks_go_together_as_the_copula_says(rho: float) -> None:
    """Spearman's rank correlation of a Gaussian copula: 6/π · asin(ρ/2) (K. Pearson 1907; from memory)."""
    ranks = stats.spearmanr(draw_min(JOB, rho, rng(), MANY)).statistic
    assert ranks[np.triu_indices(3, 1)] == pytest.approx([6 / pi * asin(rho / 2)] * 3, abs=0.02)


def test_wholly_alike_the_quantiles_themselves_add_up() -> None:
    """A job whose stages all run at the same share takes the sum of their quantiles."""
    total = draw_min(JOB, 0.99999, rng(), MANY).sum(axis=1)
    for share in (0.1, 0.5, 0.9):
        added = sum(quantile_min(part.foretold, share) for part in JOB)
        assert np.quantile(total, share) == pytest.approx(added, rel=0.03)


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.8])
def test_totals_against_a_multivariate_normal_of_scipy(rho: float) -> None:
    """The same through scipy's normal vectors and its t quantiles, clipped alike; both drawn 20,000 times."""
    z = stats.multivariate_normal(*joint(3, rho)).rvs(MANY, random_state=rng(3))
    shares = stats.norm.cdf(np.clip(z, student.LEAST_Z, student.MOST_Z))
    told = [part.foretold for part in JOB]
    theirs = sum(np.exp(p.loc + p.scale * stats.t.ppf(shares[:, n], p.df)) for n, p in enumerate(told))
    ours = draw_min(JOB, rho, rng(), MANY).sum(axis=1)
    assert ours.mean() == pytest.approx(np.mean(theirs), rel=0.015)
    for share in (0.1, 0.5, 0.8, 0.9):
        assert np.quantile(ours, share) == pytest.approx(np.quantile(theirs, share), rel=0.025)


def test_nothing_beyond_two_in_a_thousand_is_drawn() -> None:
    drawn = draw_min(JOB, 0.5, rng(), MANY)
    for n, part in enumerate(JOB):
        assert drawn[:, n].min() == pytest.approx(quantile_min(part.foretold, 0.002), rel=1e-3)
        assert drawn[:, n].max() == pytest.approx(quantile_min(part.foretold, 0.998), rel=1e-3)


def test_few_draws_are_spread_evenly() -> None:
    """200 draws of a stage alone: one in each half of a percent, but for the two clipped ends."""
    drawn = draw_min(JOB, 0.0, rng(), 200)
    for n, part in enumerate(JOB):
        shares = [chance_under(part.foretold, m) for m in np.sort(drawn[:, n])[1:-1]]
        middles = (np.arange(1, 199) + 0.5) / 200
        assert np.max(np.abs(shares - middles)) < 0.0025 + 1e-5


def test_the_same_seed_draws_the_same() -> None:
    assert np.array_equal(draw_min(JOB, 0.4, rng(), 50), draw_min(JOB, 0.4, rng(), 50))
    assert draw_min([], 0.4, rng(), 50).shape == (50, 0)


# --- after some stages are done -----------------------------------------------------------------------


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.9])
@pytest.mark.parametrize("surprises", [(1.2,), (0.8, -0.4, 2.0), (-3.0,) * 10])
def test_what_is_to_come_after_some_are_done(rho: float, surprises: tuple[float, ...]) -> None:
    """Against the conditional normal distribution by matrices: μ₂ + Σ₂₁Σ₁₁⁻¹z, Σ₂₂ − Σ₂₁Σ₁₁⁻¹Σ₁₂."""
    m = len(surprises)
    cov = joint(m + 2, rho)[1]
    back = cov[m:, :m] @ np.linalg.inv(cov[:m, :m])
    mean, rest = back @ np.array(surprises), cov[m:, m:] - back @ cov[:m, m:]
    told = Part(Prediction(df=1e5, loc=0.0, scale=0.1))
    drawn = np.log(draw_min([told, told], rho, rng(), MANY, surprises)) / 0.1
    if np.max(np.abs(mean)) < 1.5:  # further out the clip at 2.878 would show
        assert drawn.mean(axis=0) == pytest.approx(mean, abs=0.03)
        np.testing.assert_allclose(np.cov(drawn.T), rest, atol=0.03)
    wanted = np.clip(mean + stats.norm.ppf(0.3) * np.sqrt(np.diag(rest)), student.LEAST_Z, None)
    assert np.quantile(drawn, 0.3, axis=0) == pytest.approx(wanted, abs=0.035)


def test_what_is_common_against_brute_force() -> None:
    """Half a million jobs of three stages; of those whose first two ran at about 1.0 and 0.5, the third."""
    rho = 0.6
    jobs = stats.multivariate_normal(*joint(3, rho)).rvs(500_000, random_state=rng(5))
    alike = jobs[(np.abs(jobs[:, 0] - 1.0) < 0.15) & (np.abs(jobs[:, 1] - 0.5) < 0.15), 2]
    ours = zs(1, rho, surprises=(1.0, 0.5))[:, 0]
    assert len(alike) > 3000
    for share in (0.1, 0.5, 0.9):
        assert np.quantile(ours, share) == pytest.approx(np.quantile(alike, share), abs=0.06)


# --- a stage in hand ----------------------------------------------------------------------------------


def test_a_stage_in_hand_against_brute_force() -> None:
    """All jobs drawn, and only those kept whose glue-up took more than the 150 minutes spent."""
    whole = draw_min(JOB, 0.6, rng(3), 100_000)
    kept = whole[whole[:, 0] > 150.0]
    ours = draw_min([Part(GLUE_UP, 150.0), *JOB[1:]], 0.6, rng(), MANY)
    assert ours[:, 0].min() > 150.0
    for share in (0.1, 0.5, 0.8, 0.9):
        np.testing.assert_allclose(
            np.quantile(ours, share, axis=0), np.quantile(kept, share, axis=0), rtol=0.03
        )
    assert np.quantile(ours.sum(1), 0.8) == pytest.approx(np.quantile(kept.sum(1), 0.8), rel=0.03)


def test_two_stages_in_hand_after_one_is_done_against_brute_force() -> None:
    """Weighed by hand: G from its posterior, kept where both stages last as long; one stage done at 0.7."""
    rho, seen = 0.5, 0.7
    cov = joint(4, rho)[1]
    back = cov[1:, :1] @ np.linalg.inv(cov[:1, :1])
    rest = cov[1:, 1:] - back @ cov[:1, 1:]
    z = stats.multivariate_normal(back[:, 0] * seen, rest).rvs(200_000, random_state=rng(9))
    z = z[(z[:, 0] > 0.5) & (z[:, 1] > 1.0)]
    ours = np.log(
        draw_min([Part(BELL, exp(0.5)), Part(BELL, exp(1.0)), Part(BELL)], rho, rng(), MANY, (seen,))
    )
    for share in (0.1, 0.5, 0.9):
        np.testing.assert_allclose(np.quantile(ours, share, axis=0), np.quantile(z, share, axis=0), atol=0.05)


@pytest.mark.parametrize("surprises", [(), (-2.0,) * 3, (-3.0,) * 8])
def test_what_hardly_any_draw_would_have_foretold(surprises: tuple[float, ...]) -> None:
    """Stages so far were quick, this one is at its P95: rejection would keep one in a million or none.

    Against scipy's truncated normal: the stage's z given the others is normal, and beyond its floor.
    """
    rho, floor, m = 0.9, 1.645, len(surprises)
    mean = rho * sum(surprises) / (1 - rho + m * rho)
    sd = sqrt(1 - rho**2 * m / (1 - rho + m * rho))
    exact = stats.truncnorm((floor - mean) / sd, np.inf, loc=mean, scale=sd)
    ours = np.log(draw_min([Part(BELL, exp(floor))], rho, rng(), MANY, surprises))[:, 0]
    assert len(np.unique(ours)) > 0.9 * MANY
    for share in (0.1, 0.5, 0.8):
        wanted = min(exact.ppf(share), student.MOST_Z)
        assert np.quantile(ours, share) == pytest.approx(wanted, abs=0.02)


def test_a_stage_that_drags_on_lengthens_the_others() -> None:
    waiting, dragging = (
        draw_min([Part(GLUE_UP, spent), Part(CARVING)], 0.6, rng(), MANY)[:, 1] for spent in (0.0, 400.0)
    )
    assert np.median(dragging) > 1.2 * np.median(waiting)
    alone = draw_min([Part(GLUE_UP, 400.0), Part(CARVING)], 0.0, rng(), MANY)[:, 1]
    assert np.median(alone) == pytest.approx(np.median(waiting), rel=0.03)


def test_forecasts_of_one_seed_move_smoothly_while_minutes_are_spent() -> None:
    """A minute more spent moves no draw by more than a few minutes, so the Floor doesn't jump about."""
    early = draw_min([Part(GLUE_UP, 60.0), Part(CARVING)], 0.5, rng(), 2000)
    later = draw_min([Part(GLUE_UP, 61.0), Part(CARVING)], 0.5, rng(), 2000)
    begun = draw_min([Part(GLUE_UP, 1e-9), Part(CARVING)], 0.5, rng(), 2000)
    assert np.max(np.abs(later / early - 1.0)) < 0.03
    np.testing.assert_allclose(begun, draw_min([Part(GLUE_UP), Part(CARVING)], 0.5, rng(), 2000), rtol=0.01)


def test_however_long_it_took_already_it_is_not_told_to_end_now() -> None:
    """A timer left running over night: more minutes yet, and how many of them is by the tail that is left."""
    overrun = [(GLUE_UP, quantile_min(GLUE_UP, 0.97)), (GLUE_UP, 1e4), (GLUE_UP, 1e9), (SANDING, 600.0)]
    for told, spent in overrun:  # the last two are beyond one in a million
        more = draw_min([Part(told, spent)], 0.5, rng(), 2000)[:, 0] / spent
        assert 1.0 < np.quantile(more, 0.1) < np.quantile(more, 0.5) < np.quantile(more, 0.9)
    share = np.mean(draw_min([Part(GLUE_UP, 1500.0)], 0.0, rng(), MANY)[:, 0] > 2500.0)
    # given that long, the chance of more: one tail over another, by scipy
    tails = stats.t.sf((np.log([2500.0, 1500.0]) - GLUE_UP.loc) / GLUE_UP.scale, GLUE_UP.df)
    assert share == pytest.approx(tails[0] / tails[1], abs=0.015)


@given(
    st.lists(st.floats(0.001, 1e6), min_size=1, max_size=4),
    st.floats(0.0, MOST_LIKENESS),
    st.lists(st.floats(-3.0, 3.0), max_size=12),
    st.sampled_from([GLUE_UP, SANDING, Prediction(7.0, log(0.02), 3.0), Prediction(2000.0, log(1e6), 0.09)]),
)
@settings(max_examples=25)
def test_drawn_minutes_are_finite_and_never_less_than_spent(
    spent: list[float], rho: float, surprises: list[float], told: Prediction
) -> None:
    drawn = draw_min([*(Part(told, s) for s in spent), Part(GLUE_UP)], rho, rng(), 200, surprises)
    assert np.all(np.isfinite(drawn))
    assert np.all(drawn[:, :-1] >= np.array(spent))
    assert np.all(drawn > 0.0)


def test_quantiles_are_reckoned_once_for_stages_of_one_kind() -> None:
    """Counted, not timed: forty stages with the same degrees of freedom share one grid of quantiles."""
    student._on_grid.cache_clear()
    draw_min([Part(GLUE_UP)] * 40, 0.3, rng(), 500)
    assert student._on_grid.cache_info().misses == 1


# --- how far stages run long together ----------------------------------------------------------------


def test_no_jobs_are_taken_to_be_alike_by_a_third_or_so() -> None:
    assert likeness([]) == likeness([[], [2.0]]) == pytest.approx(0.3)


def test_a_likeness_by_hand() -> None:
    """Two jobs: pairs 1·1 and (2·−1 + 2·½ − 1·½); v = (2 + 5.25 + 30)/(5 + 30); weighed with 150 of .3."""
    variance = 37.25 / 35
    wanted = ((1.0 - 1.5) / variance + 150 * 0.3) / (4 + 150)
    assert likeness([[1.0, 1.0], [2.0, -1.0, 0.5]]) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("rho", [0.0, 0.25, 0.5, 0.8])
@pytest.mark.parametrize("width", [1.0, 0.6])
def test_a_known_likeness_is_found(rho: float, width: float) -> None:
    """600 jobs of six stages drawn alike by ρ; also where what was foretold was too wide throughout."""
    z = stats.multivariate_normal(*joint(6, rho)).rvs(600, random_state=rng(2)) * width
    assert likeness(np.clip(z, -3.0, 3.0).tolist()) == pytest.approx(rho, abs=0.06)


def test_a_likeness_stays_within_bounds() -> None:
    assert likeness([[3.0] * 10] * 200) == MOST_LIKENESS
    assert likeness([[2.0, -2.0]] * 500) == 0.0


def test_drawn_and_learned_are_the_same_likeness() -> None:
    """Jobs drawn by us, their surprises taken by us: the ρ that they were drawn with."""
    jobs = draw_min(JOB, 0.45, rng(), 800)
    seen = [[surprise(part.foretold, m) for part, m in zip(JOB, job, strict=True)] for job in jobs]
    assert likeness(seen) == pytest.approx(0.45, abs=0.05)


@given(st.floats(0.0001, 1e7))
@settings(max_examples=30)
def test_a_surprise_is_the_normal_score_of_what_happened(minutes: float) -> None:
    wanted = stats.norm.ppf(stats.t.cdf((log(minutes) - GLUE_UP.loc) / GLUE_UP.scale, GLUE_UP.df))
    assert surprise(GLUE_UP, minutes) == pytest.approx(float(np.clip(wanted, -3.0, 3.0)), abs=2e-4)
    assert 0.0 <= chance_under(GLUE_UP, minutes) <= 1.0
