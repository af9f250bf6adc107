"""What renewing costs, planned and found out late, in; the cheapest age out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.edge_life import Beliefs, EdgeFit, Life, learn
from shoptrack.engine.edge_renewal import Cheapest, cheapest_h
from shoptrack.engine.shapes.learned import Floats

FIT = learn([Life(h, True) for h in (18.0, 25.0, 30.0, 21.0)], 20.0)


def simulated(age_h: float, planned: float, late: float, lives_h: Floats) -> float:
    """What an hour costs in the long run, (edges, lives) each renewed at an age or when it is dull before."""
    dull = lives_h < age_h
    return float((np.where(dull, late, planned).sum(axis=1) / np.minimum(lives_h, age_h).sum(axis=1)).mean())


def drawn_lives(edges: int, each: int) -> Floats:
    """Edges of which any may be the true one, and the lives of each."""
    rng = np.random.default_rng(1)
    which = rng.choice(FIT.weights.size, edges, p=FIT.weights.ravel())
    shape = np.repeat(FIT.shapes, FIT.weights.shape[1])[which, None]
    return np.asarray(FIT.scales_h.ravel()[which, None] * rng.exponential(size=(edges, each)) ** (1 / shape))


def found(life: EdgeFit | tuple[float, float], planned: float, late: float) -> Cheapest:
    answer = cheapest_h(life, planned, late)
    assert answer is not None
    return answer


def test_it_costs_what_a_simulation_says_and_no_age_is_cheaper() -> None:
    lives_h = drawn_lives(1500, 400)
    best = found(FIT, 20.0, 120.0)
    assert simulated(best.every_h, 20.0, 120.0, lives_h) == pytest.approx(best.cents_per_h, rel=0.02)
    assert simulated(1e9, 20.0, 120.0, lives_h) == pytest.approx(best.dull_cents_per_h, rel=0.02)
    others = [simulated(h, 20.0, 120.0, lives_h) for h in np.linspace(4.0, 60.0, 29)]
    assert min(others) > simulated(best.every_h, 20.0, 120.0, lives_h) * 0.998


@pytest.mark.parametrize(
    ("life", "planned", "late"),
    [
        ((0.9, 20.0), 10.0, 100.0),  # chance alone: an old edge is as good as a new one
        ((1.0, 20.0), 10.0, 100.0),
        (FIT, 20.0, 20.0),  # found out late costs no more
        (FIT, 20.0, 5.0),
        (FIT, 0.0, 50.0),  # what it costs is not known
        (FIT, 99.0, 100.0),  # hardly more
    ],
)
def test_never_early_where_that_saves_nothing(
    life: EdgeFit | tuple[float, float], planned: float, late: float
) -> None:
    assert cheapest_h(life, planned, late) is None


@settings(max_examples=40, deadline=None)
@given(st.floats(1.3, 9.0), st.floats(0.5, 500.0), st.floats(3.0, 60.0))
def test_it_scales_with_hours_and_cents(shape: float, scale_h: float, ratio: float) -> None:
    """And what is found is where the rate of going dull has grown to what waiting saves."""
    one, scaled = found((shape, 1.0), 1.0, ratio), found((shape, scale_h), 7.0, 7.0 * ratio)
    assert scaled.every_h == pytest.approx(scale_h * one.every_h, rel=1e-6)
    assert scaled.cents_per_h == pytest.approx(7.0 * one.cents_per_h / scale_h, rel=1e-6)
    # at the best age the next hour costs (c_d − c_p)·h(τ), which is what an hour costs on the whole
    rate = shape * one.every_h ** (shape - 1.0)
    assert (ratio - 1.0) * rate == pytest.approx(one.cents_per_h, rel=1e-3)


def test_dearer_surprises_mean_earlier() -> None:
    ages = [found(FIT, 20.0, late).every_h for late in (60.0, 120.0, 400.0)]
    assert ages[0] > ages[1] > ages[2]


def test_many_lives_alike_are_as_good_as_known_ones() -> None:
    """2,000 lives of shape 3 and scale 20: within 2 % of what is found for these."""
    lives_h = 20.0 * np.random.default_rng(2).exponential(size=2000) ** (1.0 / 3.0)
    fit = learn([Life(float(h), True) for h in lives_h], 20.0, Beliefs(median_sd=1.0))
    assert found(fit, 10.0, 80.0).every_h == pytest.approx(found((3.0, 20.0), 10.0, 80.0).every_h, rel=0.03)
