"""Chances of promises held against a textbook's project and a published formula for the later of two."""

from collections.abc import Callable
from math import exp, pi, sqrt

import numpy as np
import pytest
from scipy import stats

from shoptrack.engine.promise import chance_by, foresee
from shoptrack.engine.shapes.learned import Floats
from shoptrack.engine.shapes.planned import After, Order, Problem, Task
from shoptrack.engine.shapes.promised import Counts, Futures

DRAWS = 20_000
UNIT = 1000
"""Minutes for a day of the textbook, so that whole minutes cost nothing."""

# PERT example of Russell & Taylor: activities 1 to 7 as (least, likely, most); path 1-3-5-7, t = 24,
# P(≤ 28) = .9633 ± 2e-4. Read.
PERT = ((5, 8, 17), (7, 10, 13), (3, 5, 7), (1, 3, 5), (4, 6, 8), (3, 3, 3), (3, 4, 5))
PERT_PATH, PERT_DAYS, PERT_CHANCE = (1, 3, 5, 7), 24.0, 0.9633


def normal(least: float, likely: float, most: float, rng: np.random.Generator) -> Floats:
    return rng.normal((least + 4 * likely + most) / 6, (most - least) / 6, DRAWS)


def beta(least: float, likely: float, most: float, rng: np.random.Generator) -> Floats:
    """The beta with the mean and sd of a three-point estimate, as PERT has it."""
    if most == least:
        return np.full(DRAWS, float(least))
    mean, sd = (least + 4 * likely + most) / 6, (most - least) / 6
    m, v = (mean - least) / (most - least), (sd / (most - least)) ** 2
    both = m * (1 - m) / v - 1
    return least + (most - least) * rng.beta(m * both, (1 - m) * both, DRAWS)


def minutes(days: Floats) -> Counts:
    return np.maximum(np.rint(days * UNIT), 1).astype(np.int64)


def along(path: tuple[int, ...], drawn: Callable[..., Floats]) -> Futures:
    """The activities of a path one after another, by nobody's hands."""
    rng = np.random.default_rng(11)
    tasks = [Task(0, 1, crew=0, after=(After(n - 1),) if n else ()) for n in range(len(path))]
    days = np.stack([drawn(*PERT[a - 1], rng) for a in path], axis=1)
    return foresee(Problem(tuple(tasks), (Order("project"),)), (), minutes(days))


def test_a_textbook_path_by_normal_times() -> None:
    """What the book assumes: its chance within three standard errors of 20,000 draws, ± .004."""
    futures = along(PERT_PATH, normal)
    assert futures.ready.mean() / UNIT == pytest.approx(PERT_DAYS, abs=3 * 2.24 / sqrt(DRAWS))
    assert chance_by(futures, 0, 28 * UNIT) == pytest.approx(PERT_CHANCE, abs=0.004)


def test_a_textbook_path_by_beta_times() -> None:
    """The times that PERT speaks of: the sum is somewhat skew, so its chance is the book's less
    γ/6 · (z² − 1)φ(z) (Edgeworth, any book), within ± .006 for the next term and the draws.
    """
    futures = along(PERT_PATH, beta)
    days = futures.ready[:, 0] / UNIT
    assert days.mean() == pytest.approx(PERT_DAYS, abs=0.05)
    assert days.std() == pytest.approx(sqrt(5.0), rel=0.02)
    z, skew = 4 / sqrt(5.0), float(stats.skew(days))
    expected = PERT_CHANCE - skew / 6 * (z**2 - 1) * stats.norm.pdf(z)
    assert chance_by(futures, 0, 28 * UNIT) == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize("other", [(20.0, 3.0), (24.0, 2.0), (23.0, 0.5)])
def test_the_later_of_two_branches(other: tuple[float, float]) -> None:
    """A project is ready when its later branch is. Clark (1961), Operations Research 9, from memory:
    E max = μ₁Φ(α) + μ₂Φ(−α) + aφ(α), a² = σ₁² + σ₂², α = (μ₁ − μ₂)/a; within four standard errors.
    """
    rng = np.random.default_rng(5)
    (mean, sd), (first, its_sd) = other, (PERT_DAYS, sqrt(5.0))
    days = np.stack([rng.normal(first, its_sd, DRAWS), rng.normal(mean, sd, DRAWS)], axis=1)
    futures = foresee(
        Problem((Task(0, 1, crew=0), Task(0, 1, crew=0)), (Order("project"),)), (), minutes(days)
    )
    a = sqrt(its_sd**2 + sd**2)
    alpha = (first - mean) / a
    density = exp(-(alpha**2) / 2) / sqrt(2 * pi)
    expected = first * stats.norm.cdf(alpha) + mean * stats.norm.cdf(-alpha) + a * density
    assert futures.ready.mean() / UNIT == pytest.approx(expected, abs=4 * its_sd / sqrt(DRAWS))
