"""Lives of an edge in, ranges of the next one and of what is left of one in use out."""

from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.edge_life import (
    USUAL,
    Beliefs,
    EdgeFit,
    Life,
    Points,
    learn,
    points_of,
    still_sharp,
    used,
)
from shoptrack.engine.shapes.learned import Floats

SHARES = [0.05, 0.1, 0.5, 0.9, 0.95]
hours = st.floats(2.0, 200.0)
some_lives = st.lists(st.builds(Life, hours, st.booleans()), max_size=12)
few = settings(max_examples=30, deadline=None)


def dull(*lives_h: float) -> list[Life]:
    return [Life(h, True) for h in lives_h]


def short(*lives_h: float) -> list[Life]:
    return [Life(h, False) for h in lives_h]


def quantiles(fit: EdgeFit) -> Floats:
    return fit.left_quantiles(0.0, SHARES)


# --- what is believed before ------------------------------------------------------------------------


def test_without_lives_it_says_what_was_believed() -> None:
    """Drawn from the beliefs themselves: 200,000 edges with a shape and a median of their own."""
    rng = np.random.default_rng(1)
    shape = np.exp(log(3.2) + 0.35 * rng.standard_normal(200_000))
    median = 20.0 * np.exp(0.5 * rng.standard_normal(200_000))
    drawn = median * (rng.exponential(size=200_000) / log(2.0)) ** (1.0 / shape)
    fit = learn([], 20.0)
    assert fit.left_quantiles(0.0, SHARES) == pytest.approx(np.quantile(drawn, SHARES), rel=0.02)
    assert (fit.dull, fit.cut_short) == (0, 0)
    assert fit.weights.shape == (36, 61)
    assert fit.weights.sum() == pytest.approx(1.0)


def test_the_medians_reach_beyond_all_that_is_believed() -> None:
    """At least 4 sds to either side without lives: what lies beyond is less than one in ten thousand."""
    far = np.log(learn([], 20.0).medians_h[[0, -1]] / 20.0) / USUAL.median_sd
    assert far[0] < -4.0 < 4.0 < far[1]


def test_a_life_of_no_hours_says_nothing() -> None:
    without = learn(dull(20.0), 15.0)
    with_none = learn([*dull(20.0, 0.0), *short(0.0)], 15.0)
    assert quantiles(with_none) == pytest.approx(quantiles(without))
    assert (with_none.dull, with_none.cut_short) == (1, 0)


# --- what lives teach -------------------------------------------------------------------------------


@few
@given(some_lives, st.floats(5.0, 80.0), st.floats(0.01, 500.0))
def test_all_scales_with_the_hours(lives: list[Life], usual_h: float, times: float) -> None:
    """Hours in another unit: lives and usual life by a factor move every quantile by that factor."""
    scaled = learn([Life(life.effective_h * times, life.dull) for life in lives], usual_h * times)
    assert quantiles(scaled) == pytest.approx(times * quantiles(learn(lives, usual_h)), rel=1e-6)


@few
@given(some_lives)
def test_the_order_of_lives_is_nothing(lives: list[Life]) -> None:
    backwards = learn(lives[::-1], 20.0)
    assert quantiles(backwards) == pytest.approx(quantiles(learn(lives, 20.0)), rel=1e-9)


@few
@given(some_lives, hours)
def test_one_more_life_cut_short_never_shortens_the_middle(lives: list[Life], more_h: float) -> None:
    """Nor P90 by what anybody would see. (P10 may fall: one that lasts very long says that lives differ.)"""
    before, after = learn(lives, 20.0), learn([*lives, Life(more_h, False)], 20.0)
    shares = [0.5, 0.9]
    grown = after.left_quantiles(0.0, shares) / before.left_quantiles(0.0, shares)
    assert grown[0] >= 1.0 - 1e-4
    assert grown[1] >= 1.0 - 5e-3


@few
@given(some_lives, hours)
def test_of_a_known_shape_one_cut_short_shortens_nothing(lives: list[Life], more_h: float) -> None:
    known = Beliefs(shape_sd=1e-3)
    before = quantiles(learn(lives, 20.0, known))
    assert np.all(quantiles(learn([*lives, Life(more_h, False)], 20.0, known)) >= before * (1.0 - 1e-6))


def test_lives_cut_short_count_as_longer_than_they_were() -> None:
    """Four blades sharpened at 15 h are not four lives of 15 h: a blade lasts longer than those say."""
    as_dull, as_short = learn(dull(15, 15, 15, 15), 20.0), learn(short(15, 15, 15, 15), 20.0)
    assert as_dull.life_h().p50_h < 17.0
    assert as_short.life_h().p50_h > 20.0


def test_many_lives_outweigh_what_was_believed() -> None:
    """500 lives of shape 4.5 and a median of 33 h, the usual life said to be 12 h."""
    rng = np.random.default_rng(2)
    shape, scale = 4.5, 33.0 / log(2.0) ** (1.0 / 4.5)
    fit = learn(dull(*(scale * rng.exponential(size=500) ** (1.0 / shape))), 12.0)
    true = scale * (-np.log1p(-np.array([0.1, 0.5, 0.9]))) ** (1.0 / shape)
    assert fit.left_quantiles(0.0, [0.1, 0.5, 0.9]) == pytest.approx(true, rel=0.05)
    assert float(fit.weights.max()) < 0.5, "the grid is fine enough for 500 lives"


@pytest.mark.parametrize("usual_h", [1200.0, 0.33])
def test_a_usual_life_in_the_wrong_unit_is_overcome(usual_h: float) -> None:
    """Typed in minutes, or sixty times too short: eight lives about 20 h bring it near, not to an end."""
    fit = learn(dull(18, 22, 20, 19, 23, 21, 17, 20), usual_h)
    assert fit.life_h().p50_h == pytest.approx(20.0, rel=0.4)


# --- questions --------------------------------------------------------------------------------------


@few
@given(some_lives)
def test_survival_falls_from_one(lives: list[Life]) -> None:
    fit = learn(lives, 20.0)
    at = np.linspace(0.0, 400.0, 200)
    sharp = fit.survival(at)
    assert sharp[0] == pytest.approx(1.0)
    assert np.all(np.diff(sharp) <= 0.0)
    assert np.all((sharp >= 0.0) & (sharp <= 1.0 + 1e-12))
    assert fit.survival(np.array([[5.0, 10.0], [15.0, 20.0]])).shape == (2, 2)
    assert fit.survival(-1.0) == pytest.approx(1.0)


@few
@given(some_lives, st.floats(0.0, 60.0))
def test_what_is_left_is_survival_over_survival(lives: list[Life], age_h: float) -> None:
    """The definition: P(T > a + x) / P(T > a), and nothing of the way it is reckoned."""
    fit = learn(lives, 20.0)
    left = fit.left_quantiles(age_h, SHARES)
    for share, more_h in zip(SHARES, left, strict=True):
        kept = float(fit.survival(age_h + more_h) / fit.survival(age_h))
        assert kept == pytest.approx(1.0 - share, abs=2e-5)


def test_an_edge_that_outlasts_everything_still_has_an_answer() -> None:
    """No one looked for fifty lives: what is left is finite and above nought; it was dull long before."""
    fit = learn(dull(20, 22, 18, 21), 20.0)
    left = fit.left_quantiles(1000.0, [0.1, 0.5, 0.9])
    assert np.all(np.isfinite(left))
    assert 0.0 < left[0] < left[1] < left[2]
    assert fit.chance_dull(1000.0) == pytest.approx(1.0)
    assert np.all(fit.draw_left(1000.0, 50, np.random.default_rng(1)) > 0.0)


def test_soon_is_where_one_in_five_is_dull() -> None:
    fit = learn([*dull(20, 26), *short(12)], 25.0)
    assert fit.chance_dull(fit.soon_at_h()) == pytest.approx(0.2, abs=1e-5)
    assert fit.chance_dull(0.0) == pytest.approx(0.0, abs=1e-9)
    life = fit.life_h()
    assert fit.chance_dull(life.p50_h) == pytest.approx(0.5, abs=1e-5)
    assert life.p10_h < fit.soon_at_h() < life.p50_h < life.p90_h


@pytest.mark.parametrize("age_h", [0.0, 14.0])
def test_draws_are_of_the_same_distribution(age_h: float) -> None:
    fit = learn([*dull(20, 26), *short(12)], 25.0)
    drawn = fit.draw_left(age_h, 160_000, np.random.default_rng(3))
    assert np.quantile(drawn, SHARES) == pytest.approx(fit.left_quantiles(age_h, SHARES), rel=0.03)
    again = fit.draw_left(age_h, 160_000, np.random.default_rng(3))
    assert np.array_equal(drawn, again)


def test_what_is_used_of_a_life() -> None:
    """Of shape 2 half an age is a quarter used; a point alone survives by exp of what is used."""
    point = Points(np.array([2.0]), np.array([log(10.0)]), np.ones(1))
    assert used(point, 5.0) == pytest.approx([0.25])
    assert used(point, 0.0) == pytest.approx([0.0])
    assert still_sharp(point, np.array([5.0]), 0.0) == pytest.approx([exp(-0.25)])
    assert still_sharp(point, np.array([5.0]), 5.0) == pytest.approx([exp(-0.75)])


def test_points_leave_out_what_weighs_nothing() -> None:
    fit = learn(dull(*[20.0] * 30), 20.0)
    points = points_of(fit)
    assert len(points.weight) < fit.weights.size
    assert points.weight.sum() == pytest.approx(1.0)
