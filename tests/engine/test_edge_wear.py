"""What an hour of work takes of an edge."""

from math import gamma

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.edge_life import EdgeFit, Life, learn
from shoptrack.engine.edge_wear import lasting_h, wear_cents_per_h


def known(shape: float, scale_h: float) -> EdgeFit:
    """A life that is known for certain."""
    median = np.array([scale_h * np.log(2.0) ** (1.0 / shape)])
    return EdgeFit(np.array([shape]), median, np.ones((1, 1)), 5, 0)


def test_a_known_life_pays_for_its_mean() -> None:
    assert lasting_h(known(1.0, 12.0)) == pytest.approx(12.0)
    assert lasting_h(known(2.0, 12.0)) == pytest.approx(12.0 * gamma(1.5))


def test_in_the_long_run_that_many_are_used_up() -> None:
    """A thousand edges one after another, by their own draws: hours over sharpenings, within 3 %."""
    lives = np.random.default_rng(4).weibull(2.2, 4_000) * 15.0
    assert lasting_h(known(2.2, 15.0)) == pytest.approx(lives.mean(), rel=0.03)


def test_not_knowing_makes_an_hour_dearer_than_the_mean_life_would() -> None:
    """Either 5 or 20 hours, who knows: an hour takes (1/5 + 1/20)/2 of one: 8 hours each, not 12.5."""
    either = EdgeFit(np.ones(1), np.array([5.0, 20.0]) * np.log(2.0), np.full((1, 2), 0.5), 0, 0)
    assert lasting_h(either) == pytest.approx(8.0)


@given(st.floats(0.5, 200.0), st.floats(0.1, 50.0))
def test_lives_and_their_cost_scale(usual_h: float, times: float) -> None:
    lives = [Life(usual_h * 0.8, True), Life(usual_h * 1.3, True), Life(usual_h * 0.5, False)]
    grown = [Life(life.effective_h * times, life.dull) for life in lives]
    one, other = lasting_h(learn(lives, usual_h)), lasting_h(learn(grown, usual_h * times))
    assert other == pytest.approx(one * times, rel=1e-6)


def test_an_hour_takes_its_share() -> None:
    """24.00 a sharpening that pays for 16 hours: 1.50 an hour; half of it, in hard wood, by two: .75."""
    assert wear_cents_per_h(16.0, 2_400) == 150.0
    assert wear_cents_per_h(16.0, 2_400, 0.5, 2.0, 2) == 75.0
    assert wear_cents_per_h(16.0, 0) == 0.0
