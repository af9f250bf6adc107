"""Exact amounts of money → whole cents, rounded once, that add up."""

from collections.abc import Sequence
from fractions import Fraction


def rounded(cents: Fraction) -> int:
    """Whole cents, halves away from nought."""
    whole = int(abs(cents) + Fraction(1, 2))
    return whole if cents >= 0 else -whole


def rounded_parts(parts: Sequence[Fraction]) -> list[int]:
    """Parts as whole cents that add up to their rounded sum: each is within a cent of its own.

    Method: the running sum is rounded, and each part is what it moved the rounded sum by.
    """
    so_far, given, found = Fraction(0), 0, []
    for part in parts:
        so_far += part
        found.append(rounded(so_far) - given)
        given += found[-1]
    return found
