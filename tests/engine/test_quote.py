"""What an order costs as a range, what it is priced at, and what a price leaves."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
import scipy.stats

from shoptrack.engine.quote import MOST_CENTS, judge
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import SHARES, Asked, Bought, StageAsked, Worked
from shoptrack.errors import BadInput
from tests.engine.orders import BOX, NONE, WALNUT, stage, values, worked


def test_one_stage_costs_what_was_foretold_of_it() -> None:
    """Quantiles of a log-t by scipy, at 60 dollars an hour (a dollar a minute), within 3 % of 4,000 draws."""
    found = worked(Asked((stage(100, rate=6_000),)), draws=4_000)
    exact = [100 * np.exp(0.34 * scipy.stats.t.ppf(share, 9)) for share in SHARES]
    assert values(found.hands_min) == pytest.approx(exact, rel=0.03)
    assert values(found.cents) == pytest.approx([100 * minutes for minutes in exact], rel=0.03)
    assert found.stages[0].cents == found.cents


def test_a_job_of_stages_that_run_long_together() -> None:
    """An outside reckoning of the same job: scipy's t, a correlated normal of five variables (four of hands,
    one of the machine), 200,000 draws.
    """
    cover = np.full((5, 5), 0.3) + np.eye(5) * 0.7
    z = np.random.default_rng(7).multivariate_normal(np.zeros(5), cover, 200_000)
    t = scipy.stats.t.ppf(scipy.stats.norm.cdf(np.clip(z, -2.878, 2.878)), 9)
    minutes = np.exp(np.log([45, 120, 60, 40, 90]) + 0.34 * t)
    rates = np.array([6_242, 6_242 * 1.05, 6_242, 1_500, 6_242]) / 60
    cost = minutes @ rates + 14.5 * 1_150 * 1.2 + 321
    found = worked(BOX, draws=4_000)
    assert values(found.cents) == pytest.approx(np.quantile(cost, SHARES), rel=0.015)
    assert found.price_p50_cents == pytest.approx(np.quantile(cost, 0.5) / 0.75, rel=0.01)
    assert found.price_p80_cents == pytest.approx(np.quantile(cost, 0.8) / 0.75, rel=0.01)
    assert values(found.machine_min) == pytest.approx(np.quantile(minutes[:, 3], SHARES), rel=0.03)


def test_another_seed_barely_moves_a_price() -> None:
    """The noise that ``price`` tells of: about a third of a per cent, and four times that at most."""
    prices = np.array(
        [(w.price_p50_cents, w.price_p80_cents) for w in (worked(BOX, n, 4_000) for n in range(24))]
    )
    off = prices / prices.mean(axis=0) - 1.0
    spread = off.std(axis=0)
    cost = worked(BOX, 1, 4_000).cost_cents
    s = log(cost[159] / cost[39]) / 2 / 0.8416
    assert spread[0] < 0.016 * s
    assert spread[1] < 0.02 * s
    assert np.all(np.abs(off) < 0.008)


def test_a_stage_added_at_the_end_leaves_the_others_as_they_were() -> None:
    """A change to a draft doesn't shake what was not changed."""
    more = replace(BOX, stages=(*BOX.stages, stage(30)))
    assert worked(more).stages[:4] == worked(BOX).stages


def test_what_is_done_again_takes_and_costs_its_share_more() -> None:
    plain, again = (worked(Asked((stage(100, again=share, machine=50),))) for share in (0.0, 0.25))
    assert values(again.hands_min) == pytest.approx([1.25 * m for m in values(plain.hands_min)])
    assert values(again.machine_min) == pytest.approx([1.25 * m for m in values(plain.machine_min)])
    assert values(again.cents) == pytest.approx([1.25 * c for c in values(plain.cents)], abs=1.2)


def test_only_what_is_bought_is_exact() -> None:
    """14.5 board feet at $11.50, a fifth wasted, are $200.10; at a quarter of margin, $266.80."""
    found = worked(Asked((), (WALNUT,), margin_bp=2_500))
    assert found.bought_cents == 20_010
    assert set(found.cost_cents) == {20_010}
    assert found.price_p50_cents == found.price_p80_cents == 26_680
    assert (found.hands_min, found.machine_min, found.wear_cents, found.stages) == (NONE, NONE, NONE, ())


def test_edges_lose_by_the_minutes_drawn_and_that_is_in_the_cost_alone() -> None:
    """An edge that loses $3 an hour, by hand for 100 minutes in the middle: $5, and more where it takes more.

    Where a machine runs, its minutes count and not those of hands: 40 of them at $4.50 are $3.
    """
    plain, worn = (worked(Asked((stage(100, wear=cents),)), draws=4_000) for cents in (0.0, 300.0))
    assert values(worn.wear_cents) == pytest.approx([5.0 * m for m in values(plain.hands_min)], abs=0.6)
    assert worn.wear_cents.p50 == pytest.approx(500, rel=0.03)
    assert worn.stages[0].cents == plain.stages[0].cents
    assert list(worn.cost_cents) == pytest.approx(
        [c * (6_242 + 300) / 6_242 for c in plain.cost_cents], abs=1.2
    )
    machine = worked(Asked((stage(100, rate=0, machine=40, wear=450.0),)), draws=4_000)
    assert values(machine.wear_cents) == pytest.approx(
        [7.5 * m for m in values(machine.machine_min)], abs=0.6
    )
    assert plain.wear_cents == NONE


def test_cents_of_lines_are_added_before_they_are_rounded() -> None:
    """Three thirds of a line at 33.5 cents are 100.5: a dollar and a cent, not three times 34."""
    line = Bought("screw", "hardware", 0.335, 100)
    found = worked(Asked((), (line, line, line)))
    assert (found.bought_cents, found.cost_cents[0]) == (101, 101)


def test_nothing_at_all_costs_nothing() -> None:
    found = worked(Asked(()))
    assert set(found.cost_cents) == {0}
    assert found.price_p80_cents == 0
    judged = judge(found, 0)
    assert (judged.margin_p50, judged.markup_p50, judged.loss_chance) == (None, None, 0.0)
    assert judge(found, 500).margin_p90 == 1.0


def test_a_rest_takes_nobody_and_costs_nothing() -> None:
    rest = StageAsked("wait for the oil", None, None, 6_242)
    found = worked(replace(BOX, stages=(*BOX.stages, rest)))
    assert found.stages[-1].hands_min == found.stages[-1].machine_min == found.stages[-1].cents == NONE
    assert found.cost_cents == worked(BOX).cost_cents


def test_hours_without_a_rate_take_time_and_no_money() -> None:
    found = worked(Asked((stage(100, rate=0),)))
    assert found.hands_min.p50 > 80
    assert set(found.cost_cents) == {0}


def test_no_margin_is_the_cost_and_nineteen_in_twenty_is_twenty_times_it() -> None:
    found = worked(replace(BOX, margin_bp=0))
    assert (found.price_p50_cents, found.price_p80_cents) == (found.cost_cents[99], found.cost_cents[159])
    dear = worked(replace(BOX, margin_bp=9_500))
    assert dear.price_p50_cents == pytest.approx(20 * found.cost_cents[99], abs=10)


def test_the_least_charge_holds_for_small_things() -> None:
    found = worked(replace(BOX, least_cents=100_000_00))
    assert found.price_p50_cents == found.price_p80_cents == 100_000_00


def test_huge_and_beyond() -> None:
    """A million of a thing is priced; more than can be counted is said, not crashed on."""
    assert worked(Asked((stage(1e9),), (replace(WALNUT, quantity=1e7),))).price_p80_cents > 10**11
    with pytest.raises(BadInput, match="more money"):
        worked(Asked((), (Bought("gold", "material", 1.0, MOST_CENTS + 1),)))
    with pytest.raises(BadInput, match="more money"):
        worked(Asked((), (Bought("gold", "material", 1.0, MOST_CENTS),), margin_bp=1))
    with pytest.raises(BadInput, match="more work"):
        worked(Asked((StageAsked("for ever", Prediction(6.0, 800.0, 0.3), None, 0),)))
    with pytest.raises(BadInput, match="under 100 %"):
        worked(replace(BOX, margin_bp=10_000))


def evenly(low: int, step: int) -> Worked:
    """Costs of which each half per cent is a step dearer."""
    return replace(worked(Asked(())), cost_cents=tuple(low + step * n for n in range(199)))


def test_the_chance_of_a_loss_is_read_between_the_kept_costs() -> None:
    """Costs evenly from 1,000 at 0.5 % to 20,800 at 99.5 %, a hundred cents each half per cent."""
    costs = evenly(1_000, 100)
    assert judge(costs, 10_900).loss_chance == pytest.approx(0.5)
    assert judge(costs, 10_950).loss_chance == pytest.approx(0.4975)
    assert judge(costs, 1_000).loss_chance == pytest.approx(0.995)
    assert judge(costs, 999).loss_chance == 1.0
    assert judge(costs, 20_800).loss_chance == 0.0


def test_a_price_is_judged_at_one_in_ten_half_and_nine_in_ten() -> None:
    """Costs of 2,900, 10,900 and 18,900 against a price of 14,500."""
    found = judge(evenly(1_000, 100), 14_500)
    assert found.margin_p10 == pytest.approx(1 - 2_900 / 14_500)
    assert found.margin_p50 == pytest.approx(1 - 10_900 / 14_500)
    assert found.margin_p90 == pytest.approx(1 - 18_900 / 14_500)
    assert found.markup_p50 == pytest.approx(14_500 / 10_900 - 1)
    assert found.price_cents == 14_500


def test_chances_hold_over_draws_that_the_price_never_saw() -> None:
    """Of costs drawn with other seeds as many are above a price as it was said to lose."""
    price_cents = worked(BOX, 1, 4_000).price_p50_cents
    said = judge(worked(BOX, 1, 4_000), price_cents).loss_chance
    others = [judge(worked(BOX, n, 2_000), price_cents).loss_chance for n in range(2, 8)]
    assert said == pytest.approx(np.mean(others), abs=0.01)
    assert 0.01 < said < 0.3
