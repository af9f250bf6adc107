"""Margin is a share of the price, markup a share of the cost; tax and deposit come on top."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.prices import (
    deposit,
    margin_left,
    markup_left,
    markup_of,
    price_at_margin,
    tax_on,
)
from shoptrack.errors import BadInput

COSTS = st.integers(0, 10**12)
MARGINS = st.integers(0, 9_500)


@given(COSTS, MARGINS)
def test_the_margin_of_a_price_is_the_one_that_was_asked_for(cost: int, margin_bp: int) -> None:
    """The price less its margin is the cost again, to the half cent that rounding took."""
    price = price_at_margin(cost, margin_bp)
    left = Fraction(price) * (10_000 - margin_bp) / 10_000
    assert abs(left - cost) <= Fraction(1, 2)


@given(COSTS, MARGINS, MARGINS)
def test_more_margin_never_makes_it_cheaper(cost: int, one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert price_at_margin(cost, low) <= price_at_margin(cost, high)


@given(st.integers(10**6, 10**9), MARGINS)
def test_a_price_by_margin_has_its_markup_on_the_cost(cost: int, margin_bp: int) -> None:
    """Within the half cent that rounding took."""
    price = price_at_margin(cost, margin_bp)
    assert markup_left(price, cost) == pytest.approx(markup_of(margin_bp / 10_000), rel=1e-9, abs=1e-6)


def test_no_margin_is_the_cost_and_all_of_the_price_is_none() -> None:
    assert price_at_margin(Fraction(12345, 10), 0) == 1235
    assert price_at_margin(100, 9_500) == 2_000
    for margin_bp in (10_000, 12_000):
        with pytest.raises(BadInput, match="under 100 %"):
            price_at_margin(100, margin_bp)
    with pytest.raises(BadInput, match="under 100 %"):
        markup_of(1.0)


def test_what_is_left_of_a_price() -> None:
    """$75 of cost: at $100 a quarter is left, at $60 a quarter of it is lost; of nought there is no share."""
    assert margin_left(10_000, 7_500) == 0.25
    assert margin_left(6_000, 7_500) == -0.25
    assert margin_left(0, 7_500) is None
    assert markup_left(9_000, 7_500) == pytest.approx(0.2)
    assert markup_left(0, 7_500) == -1.0
    assert markup_left(9_000, 0) is None


def test_tax_and_deposit_are_rounded_once() -> None:
    """8.25 % of $199.99 is $16.499…; 7.5 % of $1.00 is seven and a half cents, which become eight."""
    assert tax_on(19_999, 825) == 1_650
    assert tax_on(100, 750) == 8
    assert tax_on(100, 0) == 0
    assert deposit(21_649, 5_000) == 10_825
    assert deposit(21_649, 0) == 0
    assert deposit(21_649, 10_000) == 21_649


@pytest.mark.parametrize(
    ("price", "tax_bp", "tax"),
    [
        (123_456, 887.5, 10_957),  # 8.875 % of 1,234.56 is 109.5672
        (100, 887.5, 9),  # of 1.00: 8.875 cents
        (40_000, 887.5, 3_550),  # of 400.00: 35.50 and no more
        (999_999, 887.3, 88_730),  # 8.873 % of 9,999.99 is 887.299…
        (500_000, 0.1, 5),  # a thousandth of a per cent of 5,000.00 is 5 cents
        (50_000, 0.1, 1),  # … of 500.00 half a cent, which becomes one
        (49_999, 0.1, 0),
        (500, 830.0, 42),  # 8.3 % of 5.00 is 41.5 cents; a float of 0.083 has a hair less
        (10**15 + 1, 887.3, 88_730_000_000_000),  # ten million millions: to the cent
    ],
)
def test_a_tax_of_three_decimals(price: int, tax_bp: float, tax: int) -> None:
    """Reckoned by hand."""
    assert tax_on(price, tax_bp) == tax


@given(COSTS, st.integers(0, 100_000))
def test_a_tax_is_within_half_a_cent_of_its_share(price: int, tenths: int) -> None:
    assert abs(tax_on(price, tenths / 10) - Fraction(price * tenths, 100_000)) <= Fraction(1, 2)
