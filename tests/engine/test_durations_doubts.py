"""Times that look wrong, what a person says of them, and the one level of noise that a shop has."""

from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest

from shoptrack.engine import durations
from shoptrack.engine.durations import SET_ASIDE_BELOW, USUAL, fit, fit_shop, predict, quantile_min
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Log
from tests.engine.test_durations import HUNDRED, PLAIN, TEN_EACH, logs_of, spread, told

# --- times that look wrong ----------------------------------------------------------------------------


def test_one_timer_left_running_among_thirty_barely_moves_the_middle() -> None:
    usual = spread(29, 0.2)
    clean, wild = fit(logs_of(*usual), HUNDRED), fit(logs_of(*usual, 1000.0), HUNDRED)
    assert told(wild)[1] == pytest.approx(told(clean)[1], rel=0.02)
    assert told(wild)[3] == pytest.approx(told(clean)[3], rel=0.05)
    assert wild.weights[-1] < SET_ASIDE_BELOW
    assert min(wild.weights[:-1]) > SET_ASIDE_BELOW
    assert predict(wild, 10.0).set_aside == 1


def test_a_persons_word_is_taken() -> None:
    """It counts: it weighs like any other. Left out: as if it had not been logged."""
    usual, beliefs = logs_of(*spread(29, 0.2)), replace(USUAL, half_life=None)
    asked = Log("wild", 1000.0, 10.0)
    counted, left_out = (fit([*usual, replace(asked, counts=c)], HUNDRED, beliefs) for c in (True, False))
    assert (counted.weights[-1], left_out.weights[-1]) == (1.0, 0.0)
    without = fit(usual, HUNDRED, beliefs)
    np.testing.assert_allclose(told(left_out), told(without), rtol=1e-9)
    assert told(counted)[1] > 1.03 * told(without)[1]
    assert told(counted)[3] > 1.1 * told(without)[3]


@pytest.mark.parametrize("counts", [True, False])
def test_a_persons_word_is_taken_of_few_logs_too(counts: bool) -> None:
    learned = fit([Log("a", 300.0, 10.0, counts=counts)], HUNDRED)
    assert learned.weights == (float(counts),)
    assert (told(learned)[1] == pytest.approx(100.0)) is not counts


def test_two_logs_are_too_few_to_doubt_one() -> None:
    assert fit(logs_of(100.0, 1000.0), HUNDRED).weights == (1.0, 1.0)
    assert min(fit(logs_of(*[100.0] * 9, 1000.0), HUNDRED).weights) < SET_ASIDE_BELOW


# --- the shop's level of noise ------------------------------------------------------------------------


def test_one_level_of_noise_for_the_shop() -> None:
    """Noisy kinds widen what is told of a kind without logs; steady ones narrow it."""
    empty = (list[Log](), HUNDRED)
    widths = []
    for sd in (0.1, 0.9):
        kinds = {k: (logs_of(*spread(40, sd, seed=k)), HUNDRED) for k in (1, 2, 3)}
        learned = fit_shop({**kinds, 4: empty}, replace(PLAIN, wild_from=None))
        assert len({f.noise for f in learned.values()}) == 1
        assert learned[4].noise == pytest.approx(sd, rel=0.35)
        widths.append(predict(learned[4], 10.0).scale)
    assert widths[0] < predict(fit([], HUNDRED), 10.0).scale < widths[1]


def test_the_level_is_what_was_found_in_the_round_before() -> None:
    """s0² ← (6·.35² + Σ max(2b − 6·s0², 0)) / (6 + Σ(2a − 6)), reckoned here from the fits of each round."""
    kinds = {k: (logs_of(*spread(20, 0.9, seed=k)), HUNDRED) for k in (1, 2)}
    for rounds in (1, 2):
        before, after = (fit_shop(kinds, rounds=n) for n in (rounds, rounds + 1))
        left = sum(max(2 * f.b - 6 * f.noise**2, 0.0) for f in before.values())
        square = (6 * 0.35**2 + left) / (6 + sum(2 * f.a - 6 for f in before.values()))
        assert [f.noise for f in after.values()] == pytest.approx([square**0.5] * 2, rel=1e-12)


def test_the_level_stays_within_bounds() -> None:
    steady = fit_shop({1: (logs_of(*[100.0] * 900), HUNDRED)}, replace(PLAIN, level_weight=0.1))
    wild = fit_shop({1: (logs_of(*[0.01, 1e6] * 40), HUNDRED)}, PLAIN)
    assert steady[1].noise == 0.08
    assert wild[1].noise == 1.5


def test_nothing_logged_anywhere_keeps_the_first_guess() -> None:
    learned = fit_shop({1: ([], HUNDRED), 2: ([], TEN_EACH)})
    assert [f.noise for f in learned.values()] == [0.35, 0.35]
    assert fit_shop({}) == {}


def test_fits_are_few() -> None:
    """Counted, not timed: at most three rounds of the shop, and seven solutions a kind in each."""
    kinds = {k: (logs_of(*spread(50, 0.7, seed=k), 5000.0), HUNDRED) for k in range(4)}
    with (
        patch.object(durations, "fit", wraps=durations.fit) as fits,
        patch.object(durations, "_posterior", wraps=durations._posterior) as solved,
    ):
        fit_shop(kinds)
    assert fits.call_count <= 3 * 4
    assert solved.call_count <= 7 * fits.call_count


def test_a_pattern_whose_only_log_was_left_out_is_untested_still() -> None:
    logs = [Log("a", 100.0, 1.0, 1), Log("b", 900.0, 1.0, 2, counts=False)]
    learned = fit(logs, Rule(100.0, 0.0))
    assert predict(learned, 1.0, 2).untested
    assert not predict(learned, 1.0, 1).untested


def test_a_kind_without_a_rule_of_thumb_learns_from_its_own_middle() -> None:
    """Eight of about 30 minutes a piece: foretold is that, not the minute that a rule of nothing gives."""
    logs = [Log(str(n), minutes, 2.0) for n, minutes in enumerate((58, 60, 62, 57, 63, 60, 59, 61))]
    learned = fit(logs, Rule(0.0, 0.0))
    assert quantile_min(predict(learned, 2.0), 0.5) == pytest.approx(60, rel=0.03)
    assert quantile_min(predict(learned, 6.0), 0.5) == pytest.approx(180, rel=0.1)
    one = fit(logs[:1], Rule(0.0, 0.0))
    assert quantile_min(predict(one, 2.0), 0.5) == pytest.approx(58, rel=0.01)


def test_a_shop_that_never_uses_patterns_has_its_spread_in_the_noise_already() -> None:
    """The same minutes with and without patterns: no pattern is foretold surer where no log has one."""
    minutes = [80.0, 95.0, 100.0, 105.0, 125.0] * 8
    none = fit([Log(str(n), m, 1.0) for n, m in enumerate(minutes)], HUNDRED)
    each = fit([Log(str(n), m, 1.0, n % 4) for n, m in enumerate(minutes)], HUNDRED)
    half = fit([Log(str(n), m, 1.0, n % 4 if n % 2 else None) for n, m in enumerate(minutes)], HUNDRED)
    sure, unsure, between = (predict(learned, 1.0).scale for learned in (none, each, half))
    assert sure < between < unsure
    assert predict(fit([], HUNDRED), 1.0).scale == predict(fit([], HUNDRED), 1.0, 5).scale
