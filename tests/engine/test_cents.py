"""Whole cents, rounded once, in lines that add up."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.cents import rounded, rounded_parts

PARTS = st.lists(st.fractions(min_value=0, max_value=10**9, max_denominator=3600), max_size=30)


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
