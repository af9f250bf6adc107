"""Rates, margins and board feet against figures printed outside of this program."""

import pytest

from shoptrack.engine.hourly import YearCost, hour_cost
from shoptrack.engine.lumber import board_feet
from shoptrack.engine.prices import (
    margin_left,
    markup_left,
    markup_of,
    price_at_margin,
)

IN, FT = 25.4, 304.8

# Worked example of bookkeeping guides: $30 an hour for 2,080 paid hours, 12 % payroll taxes ($7,488), $10,000
# of benefits, $4,000 of overhead; 1,920 hours are worked.
YEAR_CENTS = (30_00 * 2_080, 7_488_00, 10_000_00, 4_000_00)


def test_burdened_hourly_rate() -> None:
    """$83,888 over 1,920 hours: $43.69 as printed; $62.42 where 70 % of them are on jobs."""
    year = YearCost(*YEAR_CENTS, paid_h=1_920)
    assert year.taxes_cents == year.wages_cents * 12 // 100
    assert year.cents == 83_888_00
    assert hour_cost(year).on_jobs_cents == 43_69
    assert hour_cost(YearCost(*YEAR_CENTS, paid_h=1_920, on_jobs_bp=7_000)).on_jobs_cents == 62_42


def test_markup_and_margin_as_printed() -> None:
    """Tables of markup and margin: 50 % on cost is 33.33 % of the price; $40 at 50 % is $60; 40 % of the
    price is 66.67 % on cost.
    """
    assert f"{markup_of(1 / 3):.2%}" == "50.00%"
    assert f"{markup_of(0.40):.2%}" == "66.67%"
    assert f"{margin_left(60_00, 40_00):.2%}" == "33.33%"
    assert markup_left(60_00, 40_00) == 0.5
    assert price_at_margin(60_00, 4_000) == 100_00


# Rows that follow from margin = markup / (1 + markup), as such tables print them; from memory.
@pytest.mark.parametrize(
    ("markup", "margin"),
    [
        ("15%", "13.0%"),
        ("20%", "16.7%"),
        ("25%", "20.0%"),
        ("33%", "24.8%"),
        ("43%", "30.1%"),
        ("100%", "50.0%"),
    ],
)
def test_table_of_markups(markup: str, margin: str) -> None:
    """On a cost of $100.00."""
    price_cents = 100_00 + int(markup[:-1]) * 1_00
    assert f"{margin_left(price_cents, 100_00):.1%}" == margin


# Worked examples of the hardwood trade's board-foot rule: thickness × width × length in inches / 144.
@pytest.mark.parametrize(
    ("thickness_in", "width_in", "length_ft", "printed"), [(1, 3, 8, 2), (4, 6, 10, 20), (2, 6, 8, 8)]
)
def test_board_feet(thickness_in: int, width_in: int, length_ft: int, printed: int) -> None:
    assert board_feet(thickness_in * IN, width_in * IN, length_ft * FT) == pytest.approx(printed)


def test_a_board_foot_in_cubic_metres() -> None:
    """NIST Special Publication 811 (2008), B.8: one board foot is 2.359 737 E−03 m³ (from memory)."""
    m3_as_feet = board_feet(1_000, 1_000, 1_000)
    assert 1 / m3_as_feet == pytest.approx(2.359737e-3, rel=1e-7)
