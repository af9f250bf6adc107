"""A router's own factor: the starting value, what runs teach, how wide it is."""

from math import log

import numpy as np
import pytest

from shoptrack.engine.gcode.factor import factor


def test_without_runs_it_is_the_starting_value() -> None:
    found = factor([])
    assert found.runs == 0
    assert found.p50 == pytest.approx(1.15)
    assert found.p10 < 1.0 < 1.4 < found.p90
    # symmetric on the logarithm
    assert found.p10 * found.p90 == pytest.approx(found.p50**2)


def test_many_runs_are_believed() -> None:
    rng = np.random.default_rng(4)
    said = rng.uniform(5, 90, 200)
    logged = said * np.exp(rng.normal(log(1.4), 0.08, 200))
    found = factor(list(zip(logged.tolist(), said.tolist(), strict=True)))
    assert found.runs == 200
    assert found.p50 == pytest.approx(1.4, rel=0.02)
    assert log(found.p90 / found.p10) == pytest.approx(2 * 1.2816 * 0.08, rel=0.2)


def test_one_run_is_believed_a_good_part_and_narrows_it() -> None:
    none, one = factor([]), factor([(30.0, 20.0)])
    assert 1.3 < one.p50 < 1.5
    assert one.p90 / one.p10 < none.p90 / none.p10


def test_a_run_of_no_minutes_teaches_nothing() -> None:
    assert factor([(0.0, 5.0), (5.0, 0.0)]) == factor([])


def test_the_order_of_runs_is_nothing_and_scale_is_everything() -> None:
    runs = [(12.0, 10.0), (33.0, 30.0), (8.0, 6.0)]
    assert factor(runs).p50 == pytest.approx(factor(runs[::-1]).p50)
    assert factor([(60 * a, 60 * b) for a, b in runs]).p50 == pytest.approx(factor(runs).p50)


def test_eight_in_ten_of_the_next_runs_lie_within() -> None:
    """Routers drawn from the starting value, six runs each: the seventh is inside as often as said."""
    rng = np.random.default_rng(11)
    inside, routers = 0, 1500
    for _ in range(routers):
        noise = (0.1**2 * 3 / rng.gamma(3.0)) ** 0.5
        own = rng.normal(log(1.15), noise * 0.25 / 0.1)
        *runs, last = np.exp(rng.normal(own, noise, 7)).tolist()
        found = factor([(run, 1.0) for run in runs])
        inside += found.p10 < last < found.p90
    assert inside / routers == pytest.approx(0.8, abs=0.04)
