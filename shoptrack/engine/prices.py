"""Cost → price by margin, a share of the price; the markup, a share of the cost; tax and deposit on it."""

from fractions import Fraction

from shoptrack.engine.cents import rounded
from shoptrack.errors import BadInput

WHOLE_BP = 10_000
"""A hundred per cent in hundredths of one per cent."""


def price_at_margin(cost_cents: Fraction | int, margin_bp: int) -> int:
    """The price of which a share is left over its cost, in whole cents.

    Raises BadInput for a margin of the whole price or more: no price has it.
    """
    if margin_bp >= WHOLE_BP:
        raise BadInput("A margin is a share of the price: it stays under 100 %.", "margin")
    return rounded(Fraction(cost_cents) * WHOLE_BP / (WHOLE_BP - margin_bp))


def markup_of(margin: float) -> float:
    """The share of the cost that a share of the price is: .4 of the price is two thirds of the cost.

    Raises BadInput for a margin of the whole price or more.
    """
    if margin >= 1.0:
        raise BadInput("A margin is a share of the price: it stays under 100 %.", "margin")
    return margin / (1.0 - margin)


def margin_left(price_cents: int, cost_cents: int) -> float | None:
    """The share of a price that is left over a cost, below nought for a loss; None of a price of nought."""
    return None if price_cents == 0 else (price_cents - cost_cents) / price_cents


def markup_left(price_cents: int, cost_cents: int) -> float | None:
    """What a price has over a cost as a share of the cost; None on a cost of nought."""
    return None if cost_cents == 0 else (price_cents - cost_cents) / cost_cents


def tax_on(price_cents: int, tax_bp: float) -> int:
    """The tax on a price, in whole cents; exact for the tax as it is written (8.873 % is 887.3)."""
    return rounded(price_cents * Fraction(str(tax_bp)) / WHOLE_BP)


def deposit(paid_cents: int, deposit_bp: int) -> int:
    """The share of what is paid that is due when the order is given, in whole cents.

    Takes what is paid, the tax in it.
    """
    return rounded(Fraction(paid_cents * deposit_bp, WHOLE_BP))
