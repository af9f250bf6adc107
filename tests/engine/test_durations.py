"""Stage times learned from the log: fixed answers, and what must hold whatever was logged."""

from dataclasses import replace
from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.durations import (
    USUAL,
    Beliefs,
    chance_under,
    fit,
    learned_rule,
    predict,
    quantile_min,
)
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Fit, Log

HUNDRED = Rule(setup_min=100.0, rate_min=0.0)
TEN_EACH = Rule(setup_min=0.0, rate_min=10.0)
PLAIN = replace(USUAL, half_life=None, wild_from=None)
SHARES = (0.1, 0.5, 0.8, 0.9)
BOWL, TRAY = 1, 2


def logs_of(*minutes: float, quantity: float = 10.0, pattern: int | None = None) -> list[Log]:
    return [Log(str(n), m, quantity, pattern) for n, m in enumerate(minutes)]


def told(learned: Fit, quantity: float = 10.0, pattern: int | None = None, repeats: int = 0) -> list[float]:
    return [quantile_min(predict(learned, quantity, pattern, repeats), share) for share in SHARES]


def spread(count: int, sd: float, middle: float = 100.0, seed: int = 1) -> list[float]:
    return list(middle * np.exp(np.random.default_rng(seed).normal(0.0, sd, count)))


some_logs = st.lists(
    st.builds(
        Log,
        key=st.text("abc", min_size=1, max_size=3),
        minutes=st.floats(0.5, 5000.0),
        quantity=st.floats(0.2, 500.0),
        pattern=st.sampled_from([None, BOWL, TRAY]),
        repeats=st.integers(0, 30),
        counts=st.sampled_from([None, None, None, True, False]),
    ),
    max_size=12,
)


# --- fixed answers (reckoned by hand and by a second program beforehand) ------------------------------


def test_nothing_logged_gives_the_rule_of_thumb_and_what_was_believed() -> None:
    assert told(fit([], HUNDRED)) == pytest.approx([40.81, 100.00, 175.73, 245.04], abs=0.005)


def test_three_logs_of_a_pattern_before_its_fourth_order() -> None:
    logs = [Log(str(n), minutes, 10.0, BOWL, n) for n, minutes in enumerate((120.0, 110.0, 130.0))]
    learned = fit(logs, HUNDRED, PLAIN)
    foretold = predict(learned, 10.0, BOWL, 3)
    assert told(learned, 10.0, BOWL, 3) == pytest.approx([70.50, 112.76, 152.20, 180.33], abs=0.005)
    assert (foretold.df, foretold.loc, foretold.scale) == pytest.approx((9.0, 4.72523, 0.33953), abs=5e-6)
    assert (foretold.logs, foretold.of_pattern, foretold.set_aside) == (3, 3, 0)


# --- what must hold whatever was logged ---------------------------------------------------------------


@given(some_logs, st.floats(1.0, 200.0), st.floats(1.0, 50.0))
@settings(max_examples=30)
def test_other_units_of_time_change_nothing_else(logs: list[Log], setup: float, c: float) -> None:
    """All minutes and the rule times c: every quantile times c."""
    slower = [replace(x, minutes=x.minutes * c) for x in logs]
    before, after = fit(logs, Rule(setup, 2.0)), fit(slower, Rule(setup * c, 2.0 * c))
    np.testing.assert_allclose(told(after, 7.0, TRAY, 2), np.array(told(before, 7.0, TRAY, 2)) * c, rtol=1e-6)


@given(some_logs, st.randoms(use_true_random=False))
@settings(max_examples=30)
def test_order_is_nothing_while_all_weigh_the_same(logs: list[Log], shuffler: object) -> None:
    logs = [replace(x, repeats=0) for x in logs]
    mixed = list(logs)
    shuffler.shuffle(mixed)  # type: ignore[attr-defined]
    beliefs = replace(USUAL, half_life=None)
    before, after = (fit(x, TEN_EACH, beliefs) for x in (logs, mixed))
    np.testing.assert_allclose(told(after, 12.0, BOWL), told(before, 12.0, BOWL), rtol=1e-6)


@given(some_logs, st.floats(0.01, 1e4), st.sampled_from([Rule(0.0, 0.0), HUNDRED, TEN_EACH]))
@settings(max_examples=30)
def test_whatever_was_logged_minutes_are_foretold(logs: list[Log], quantity: float, rule: Rule) -> None:
    foretold = predict(fit(logs, rule), quantity, TRAY, 4)
    found = [quantile_min(foretold, share) for share in (0.002, 0.1, 0.5, 0.9, 0.998)]
    assert np.all(np.isfinite(found))
    assert found == sorted(found)
    assert found[0] > 0.0
    assert [chance_under(foretold, m) for m in found] == pytest.approx(
        [0.002, 0.1, 0.5, 0.9, 0.998], abs=1e-9
    )


@given(some_logs)
@settings(max_examples=30)
def test_the_learned_rule_touches_the_learned_median(logs: list[Log]) -> None:
    """At the usual measure it is the median; nowhere below nought; its slope the median's where it may."""
    learned = fit(logs, Rule(20.0, 6.0))
    found = learned_rule(learned, BOWL, 3)
    assert min(found.setup_min, found.rate_min) >= 0.0
    if not logs:
        assert found == Rule(20.0, 6.0)
        return
    q = learned.q_ref
    assert found.minutes(q) == pytest.approx(quantile_min(predict(learned, q, BOWL, 3), 0.5), rel=1e-9)
    if min(found.setup_min, found.rate_min) > 0.0:
        more, less = (quantile_min(predict(learned, q * f, BOWL, 3), 0.5) for f in (1.0001, 0.9999))
        slope = (more - less) / (0.0002 * q)
        assert found.rate_min == pytest.approx(slope, rel=1e-5, abs=1e-6 * found.minutes(q) / q)


@pytest.mark.parametrize("minutes", [0.01, 1e6])
@pytest.mark.parametrize("count", [1, 5, 2000])
def test_extreme_minutes_many_or_one(minutes: float, count: int) -> None:
    """It goes towards what was logged, all the way with many, and the learned rule has no set-up below 0."""
    logs = logs_of(*[minutes] * count, pattern=BOWL)
    learned = fit(logs, TEN_EACH)
    median = told(learned, 10.0, BOWL)[1]
    assert abs(log(median / minutes)) < abs(log(100.0 / minutes))
    assert learned_rule(learned, BOWL).setup_min >= 0.0
    if count == 2000:
        assert median == pytest.approx(minutes, rel=0.06)


def test_extreme_measures() -> None:
    logs = [Log("a", 60.0, 1e-6, BOWL), Log("b", 90.0, 1e6, BOWL), Log("c", 30.0, 1.0, BOWL)]
    for quantity in (1e-6, 1.0, 1e6):
        assert np.all(np.isfinite(told(fit(logs, TEN_EACH), quantity, BOWL)))


# --- what the model says, by a second way of reckoning ------------------------------------------------


def test_the_posterior_is_least_squares_with_beliefs_as_further_rows() -> None:
    """Ridge form: each belief is one more row, weighted by noise over its sd; b is half of what is left."""
    rng = np.random.default_rng(5)
    logs = [
        Log(str(n), float(rng.lognormal(4.5, 0.4)), float(q), int(rng.integers(1, 4)), n // 3)
        for n, q in enumerate(rng.uniform(2.0, 40.0, 25))
    ]
    learned = fit(logs, TEN_EACH, PLAIN)
    mean_ln = np.mean([log(x.quantity) for x in logs])
    rows = [
        [1.0, log(x.quantity) - mean_ln, log(1.0 + x.repeats), *(float(x.pattern == p) for p in (1, 2, 3))]
        for x in logs
    ]
    y = [log(x.minutes / (10.0 * x.quantity)) for x in logs]
    beliefs = np.diag(0.35 / np.array([0.45, 0.30, 0.10, 0.25, 0.25, 0.25]))
    want = np.concatenate([y, [0.0, 0.0, -0.05 * 3.5, 0.0, 0.0, 0.0]])
    found, left, *_ = np.linalg.lstsq(np.vstack([np.array(rows, dtype=float), beliefs]), want, rcond=None)
    np.testing.assert_allclose(learned.mean, found, atol=1e-10)
    assert learned.b == pytest.approx(3 * 0.35**2 + float(left[0]) / 2, rel=1e-10)
    assert learned.a == 3 + 25 / 2


def test_in_a_world_as_believed_8_in_10_is_8_in_10() -> None:
    """Worlds drawn from the beliefs themselves, with 0 to 7 logs: 1,600 of them, so ± 3 % is three sd."""
    rng, held = np.random.default_rng(11), 0
    for n in range(1600):
        noise = np.sqrt(3 * 0.35**2 / rng.gamma(3.0))
        shift, bowl = rng.normal(0.0, 0.45 * noise / 0.35), rng.normal(0.0, 0.25 * noise / 0.35)
        minutes = 100.0 * np.exp(shift + bowl + rng.normal(0.0, noise, 1 + n % 8))
        foretold = predict(fit(logs_of(*minutes[1:], pattern=BOWL), HUNDRED, PLAIN), 10.0, BOWL)
        held += 0.1 <= chance_under(foretold, minutes[0]) <= 0.9
    assert held / 1600 == pytest.approx(0.8, abs=0.03)


def test_half_of_a_logs_weight_is_gone_after_the_half_life() -> None:
    """Σ weights of n logs is (1 − ½^(n/h)) / (1 − ½^(1/h)), and a grows by half of it."""
    learned = fit(logs_of(*[100.0] * 120), HUNDRED, replace(USUAL, wild_from=None))
    assert 2 * (learned.a - 3.0) == pytest.approx((1 - 0.25) / (1 - 0.5 ** (1 / 60)), rel=1e-12)


def test_a_new_planer_shows() -> None:
    """Sixty at 200, then sixty at 100: nearer to 100 than an even mean of both would be."""
    changed = logs_of(*spread(60, 0.1, 200.0), *spread(60, 0.1, 100.0, seed=2))
    median, even = (told(fit(changed, HUNDRED, replace(PLAIN, half_life=h)))[1] for h in (60.0, None))
    assert 100.0 < median < even - 8.0


def test_the_measure_and_repeats_are_learned() -> None:
    """Twice the joints took 1.5 times as long; the eighth order two thirds of the first."""
    logs = [
        Log(str(n), 10.0 * q * (q / 20.0) ** log(0.75, 2) * (1 + n) ** log(2 / 3, 8), q, BOWL, n)
        for n, q in enumerate([5.0, 80.0, 20.0, 40.0, 10.0] * 12)
    ]
    learned = fit(logs, TEN_EACH, PLAIN)
    one, two = (told(learned, q, BOWL, 60)[1] for q in (20.0, 40.0))
    assert two / one == pytest.approx(1.5, rel=0.01)
    first, eighth = (told(learned, 20.0, BOWL, n)[1] for n in (0, 7))
    assert eighth / first == pytest.approx(2 / 3, rel=0.12)
    assert eighth < first


def test_a_rule_with_set_up_and_rate_is_found_from_a_wrong_one() -> None:
    """Work of 40 min set-up and 5 min each; the shop's rule said 12 each and no set-up."""
    rng = np.random.default_rng(3)
    quantities = rng.uniform(6.0, 14.0, 200)
    logs = [Log(str(n), (40 + 5 * q) * rng.lognormal(0, 0.1), q) for n, q in enumerate(quantities)]
    found = learned_rule(fit(logs, Rule(0.0, 12.0), PLAIN))
    assert (found.setup_min, found.rate_min) == pytest.approx((40.0, 5.0), rel=0.15)


def test_what_a_pattern_has_of_its_own_is_told_of_it_alone() -> None:
    logs = logs_of(*spread(10, 0.1, 150.0), pattern=BOWL) + logs_of(*spread(10, 0.1, 80.0), pattern=TRAY)
    learned = fit(logs, HUNDRED)
    bowl, tray, other = (predict(learned, 10.0, p) for p in (BOWL, TRAY, 9))
    assert quantile_min(tray, 0.5) < quantile_min(other, 0.5) < quantile_min(bowl, 0.5)
    assert other.scale > bowl.scale
    assert (bowl.untested, tray.untested, other.untested, predict(learned, 10.0).untested) == (
        False,
        False,
        True,
        True,
    )


def test_beliefs_that_are_wide_follow_the_logs_alone() -> None:
    wide = Beliefs(shift_sd=100.0, half_life=None, wild_from=None)
    learned = fit(logs_of(50.0, 60.0, 72.0), HUNDRED, wide)
    assert exp(predict(learned, 10.0).loc) == pytest.approx(60.0, rel=1e-4)
