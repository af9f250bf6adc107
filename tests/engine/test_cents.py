"""Whole cents, rounded once, in lines that add up."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.cents import rounded, rounded_parts, split_cents

PARTS = st.lists(st.fractions(min_value=0, max_value=10**9, max_denominator=3600), max_size=30)
WEIGHTS = st.lists(st.floats(0.0, 1e9, allow_subnormal=False), min_size=1, max_size=30)


@given(PARTS)
def test_rounded_parts_add_up_to_the_rounded_sum(parts: list[Fraction]) -> None:
    """One rounding: the lines of a table never miss their sum by a cent, and none is a cent off itself."""
    found = rounded_parts(parts)
    assert sum(found) == rounded(sum(parts, Fraction(0)))
    assert all(abs(whole - part) <= 1 for whole, part in zip(found, parts, strict=True))


@given(st.fractions())
def test_halves_are_rounded_away_from_nought(cents: Fraction) -> None:
    assert abs(rounded(cents) - cents) <= Fraction(1, 2)
    assert rounded(-cents) == -rounded(cents)
    if abs(rounded(cents) - cents) == Fraction(1, 2):
        assert abs(rounded(cents)) > abs(cents)


@given(st.decimals(-(10**12), 10**12, places=3))
def test_it_is_the_rounding_that_bookkeepers_call_half_up(cents: Decimal) -> None:
    """Held against the standard library's decimal arithmetic."""
    assert rounded(Fraction(cents)) == int(cents.quantize(Decimal(1), ROUND_HALF_UP))


@given(st.integers(-(10**15), 10**15), WEIGHTS)
def test_a_split_total_adds_up_and_keeps_its_proportions(total: int, weights: list[float]) -> None:
    lines = split_cents(total, weights)
    assert sum(lines) == total
    whole = sum(Fraction(w) for w in weights)
    if whole:
        shares = [total * Fraction(w) / whole for w in weights]
        assert all(abs(line - share) <= 1 for line, share in zip(lines, shares, strict=True))


def test_three_thirds_of_a_dollar_are_a_dollar() -> None:
    assert split_cents(100, [1.0, 1.0, 1.0]) == [33, 34, 33]
    assert split_cents(100, [0.0, 0.0]) == [50, 50]
    assert split_cents(100, [0.0, 7.0]) == [0, 100]
    assert split_cents(0, [1.0, 2.0]) == [0, 0]
    assert split_cents(100, []) == []


def test_no_line_weighs_less_than_nought() -> None:
    with pytest.raises(ValueError, match="less than nought"):
        split_cents(100, [2.0, -1.0])
