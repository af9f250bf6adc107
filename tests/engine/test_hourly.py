"""The burdened rate: what an hour on jobs has to bear."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.hourly import HourCost, YearCost, hour_cost, on_jobs_bp
from shoptrack.errors import BadInput

YEAR = YearCost(6_240_000, 748_800, 1_000_000, 400_000, 1_920.0, 7_000)


def test_hours_off_jobs_are_borne_by_those_on_jobs() -> None:
    """A shop whose people sweep, draw and talk to customers three hours of ten."""
    assert hour_cost(YEAR) == HourCost(paid_cents=4_369, on_jobs_cents=6_242, on_jobs_h=1_344.0)


@given(st.integers(0, 10**11), st.floats(0.25, 1e6), st.integers(1, 10_000))
def test_all_hours_on_jobs_earn_the_year_back(cents: int, paid_h: float, share_bp: int) -> None:
    """To the half cent an hour that rounding may take."""
    found = hour_cost(YearCost(cents, 0, 0, 0, paid_h, share_bp))
    hours = Fraction(str(paid_h)) * share_bp / 10_000
    assert abs(found.on_jobs_cents * hours - cents) <= hours / 2
    assert found.on_jobs_cents >= found.paid_cents


def test_a_year_that_costs_nothing_costs_nothing_an_hour() -> None:
    assert hour_cost(YearCost(0, 0, 0, 0, 1.0, 1)).on_jobs_cents == 0


def test_one_hour_may_bear_it_all() -> None:
    assert hour_cost(YearCost(10**15, 0, 0, 0, 1.0)).on_jobs_cents == 10**15


@pytest.mark.parametrize("paid_h", [0.0, -5.0])
def test_without_a_paid_hour_there_is_none_to_bear_it(paid_h: float) -> None:
    with pytest.raises(BadInput, match="hours are paid") as wrong:
        hour_cost(replace(YEAR, paid_h=paid_h))
    assert wrong.value.field == "paid_h"


@pytest.mark.parametrize("share_bp", [0, -1, 10_001])
def test_the_share_on_jobs_is_some_and_at_most_all(share_bp: int) -> None:
    with pytest.raises(BadInput, match="at most 100 %") as wrong:
        hour_cost(replace(YEAR, on_jobs_bp=share_bp))
    assert wrong.value.field == "on_jobs_bp"


def test_the_share_on_jobs_as_the_log_has_it() -> None:
    assert on_jobs_bp(1_344.0 * 60, 1_920.0 * 60) == 7_000
    assert on_jobs_bp(1.0, 1e9) == 1, "a little is not nothing"
    assert on_jobs_bp(500.0, 480.0) == 10_000, "an evening that nobody was paid for"
    assert on_jobs_bp(0.0, 480.0) is None
    assert on_jobs_bp(480.0, 0.0) is None
