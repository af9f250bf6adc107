"""What holds of the quote of any order: same seed, same cents; more asked, more left."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.quote import judge
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import Asked, Bought, StageAsked
from tests.engine.orders import values, worked

# any order that a shop might be asked for
PREDICTIONS = st.builds(
    Prediction, df=st.sampled_from([6.0, 9.0, 40.0]), loc=st.floats(0.0, 8.0), scale=st.floats(0.05, 1.5)
)
STAGES = st.builds(
    StageAsked,
    name=st.just("a stage"),
    hands=st.none() | PREDICTIONS,
    machine=st.none() | PREDICTIONS,
    hands_cents_per_h=st.integers(0, 20_000),
    machine_cents_per_h=st.integers(0, 20_000),
    again_share=st.floats(0.0, 0.5),
    wear_cents_per_h=st.floats(0.0, 10_000.0),
)
LINES = st.builds(
    Bought,
    words=st.just("a thing"),
    kind=st.just("material"),
    quantity=st.floats(0.0, 1e4),
    cents_each=st.integers(0, 100_000),
    waste_bp=st.integers(0, 30_000),
)
ORDERS = st.builds(
    Asked,
    stages=st.lists(STAGES, max_size=4).map(tuple),
    bought=st.lists(LINES, max_size=3).map(tuple),
    likeness=st.floats(0.0, 0.9),
    margin_bp=st.integers(0, 9_500),
    least_cents=st.integers(0, 100_000),
)
SEEDS = st.integers(0, 2**63)
few = settings(max_examples=40, deadline=None)


@few
@given(ORDERS, SEEDS)
def test_the_same_seed_gives_the_same_cents(asked: Asked, seed: int) -> None:
    assert worked(asked, seed, 50) == worked(asked, seed, 50)


@few
@given(ORDERS, SEEDS)
def test_ranges_rise_and_so_do_prices(asked: Asked, seed: int) -> None:
    found = worked(asked, seed, 100)
    ranges = [found.hands_min, found.machine_min, found.cents, found.wear_cents]
    ranges += [r for s in found.stages for r in (s.hands_min, s.machine_min, s.cents)]
    assert all(list(values(r)) == sorted(values(r)) for r in ranges)
    assert list(found.cost_cents) == sorted(found.cost_cents)
    assert len(found.cost_cents) == 199
    assert asked.least_cents <= found.price_p50_cents <= found.price_p80_cents
    assert found.price_p80_cents >= found.cents.p80


@few
@given(ORDERS, SEEDS, st.integers(0, 9_500))
def test_more_margin_never_makes_it_cheaper(asked: Asked, seed: int, other_bp: int) -> None:
    one, other = (
        worked(replace(asked, margin_bp=bp), seed, 50) for bp in sorted((asked.margin_bp, other_bp))
    )
    assert one.price_p50_cents <= other.price_p50_cents
    assert one.price_p80_cents <= other.price_p80_cents
    assert one.cost_cents == other.cost_cents, "margin is on the price alone"


@few
@given(ORDERS, SEEDS)
def test_the_price_at_the_middle_leaves_the_margin_asked_for(asked: Asked, seed: int) -> None:
    """To the cents that rounding cost and price took; more where the least charge raised it."""
    found = worked(asked, seed, 50)
    judged = judge(found, found.price_p50_cents)
    if judged.margin_p50 is None:
        assert found.price_p50_cents == 0
        return
    left = judged.margin_p50 * found.price_p50_cents
    wanted = Fraction(found.price_p50_cents) * asked.margin_bp / 10_000
    if found.price_p50_cents > asked.least_cents:
        assert left == pytest.approx(float(wanted), abs=1.0, rel=1e-9)
    else:
        assert left >= wanted - 1


@few
@given(ORDERS, SEEDS)
def test_ten_times_the_price_of_all_is_ten_times_the_cost(asked: Asked, seed: int) -> None:
    """Rates, prices and wear times ten, same draws: each cost is ten times as much, to ten roundings."""
    dear = replace(
        asked,
        stages=tuple(
            replace(
                s,
                hands_cents_per_h=10 * s.hands_cents_per_h,
                machine_cents_per_h=10 * s.machine_cents_per_h,
                wear_cents_per_h=10 * s.wear_cents_per_h,
            )
            for s in asked.stages
        ),
        bought=tuple(replace(b, cents_each=10 * b.cents_each) for b in asked.bought),
    )
    cheap, found = worked(asked, seed, 50).cost_cents, worked(dear, seed, 50).cost_cents
    assert list(found) == pytest.approx([10 * c for c in cheap], abs=6.0, rel=1e-9)


@few
@given(ORDERS, SEEDS, st.integers(0, 10**7), st.integers(0, 10**7))
def test_a_higher_price_leaves_more_and_loses_less(asked: Asked, seed: int, one: int, other: int) -> None:
    found = worked(asked, seed, 50)
    low, high = (judge(found, cents) for cents in sorted((one, other)))
    assert 0.0 <= high.loss_chance <= low.loss_chance <= 1.0
    if low.margin_p90 is not None and high.margin_p90 is not None:
        assert low.margin_p90 <= high.margin_p90
