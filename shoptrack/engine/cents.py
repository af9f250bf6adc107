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


def split_cents(total_cents: int, weights: Sequence[float]) -> list[int]:
    """A total as lines in the proportion of their weights, in whole cents that add up to it.

    Takes weights of nought and more; where all are nought the lines are alike. Gives one amount a weight,
    each within a cent of its share. Empty: none. Raises ValueError for a weight below nought.
    """
    exact = [Fraction(weight) for weight in weights]
    if any(weight < 0 for weight in exact):
        raise ValueError("a line weighs less than nought")
    if not any(exact):
        exact = [Fraction(1)] * len(exact)
    whole = sum(exact)
    return rounded_parts([total_cents * weight / whole for weight in exact])
