"""Terms of a quote: said from a day on, kept with their history, and what a shop begins with."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shoptrack.errors import BadInput
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.overtaken import newest_line, not_overtaken
from shoptrack.store.terms import STARTING, Terms, lines_about_terms, list_terms, say_terms, terms_on
from tests.store.conftest import NOW

MARCH, APRIL = date(2026, 3, 1), date(2026, 4, 1)
OURS = Terms(
    margin_bp=4000,
    waste_bp=2500,
    tax_bp=810,
    tax_name="VAT",
    least_cents=8000,
    deposit_bp=3000,
    valid_days=14,
)


def say(store: Store, terms: Terms, from_on: date) -> bool:
    with store.writing() as session:
        return say_terms(session, terms, from_on=from_on, who=None, now=NOW)


def on(store: Store, day: date) -> Terms:
    with store.reading() as session:
        return terms_on(session, day)


def test_a_shop_begins_with_terms_that_say_so(store: Store) -> None:
    """30 % margin, 20 % waste, no tax, no least charge, half of it as deposit, 30 days."""
    begun = on(store, MARCH)
    assert begun is STARTING
    assert begun.starting
    assert (begun.margin_bp, begun.waste_bp, begun.deposit_bp) == (3000, 2000, 5000)
    assert (begun.tax_bp, begun.least_cents, begun.valid_days) == (0, 0, 30)


def test_terms_count_from_their_day_and_not_before(store: Store) -> None:
    assert say(store, OURS, MARCH)
    assert say(store, replace(OURS, margin_bp=3500), APRIL)
    assert on(store, MARCH - timedelta(days=1)).starting
    assert on(store, APRIL - timedelta(days=1)) == OURS
    assert on(store, APRIL) == replace(OURS, margin_bp=3500)
    assert on(store, date(2030, 1, 1)).margin_bp == 3500


def test_said_twice_they_stand_once_and_for_the_same_day_they_replace(store: Store) -> None:
    assert say(store, OURS, MARCH)
    assert not say(store, OURS, MARCH)
    assert not say(store, OURS, APRIL)
    assert say(store, replace(OURS, tax_bp=0, tax_name=""), MARCH)
    with store.reading() as session:
        (row,) = list_terms(session)
        lines = [(line.field, line.before, line.after) for line in history(session, "terms", row.id)]
    assert lines[-2:] == [("tax_bp", 810, 0), ("tax_name", "VAT", "")]
    assert ("margin_bp", None, 4000) in lines


@pytest.mark.parametrize("tax_bp", [887.5, 887.3, 0.1, 9999.9])
def test_a_tax_of_three_decimals_is_kept_as_it_was_said(store: Store, tax_bp: float) -> None:
    """8.875 % and others, to the last decimal; said again it changes nothing."""
    assert say(store, replace(OURS, tax_bp=tax_bp), MARCH)
    assert not say(store, replace(OURS, tax_bp=tax_bp), MARCH)
    assert on(store, MARCH) == replace(OURS, tax_bp=tax_bp)
    with store.reading() as session:
        (row,) = list_terms(session)
        (line,) = [line for line in history(session, "terms", row.id) if line.field == "tax_bp"]
    assert (line.before, line.after) == (None, tax_bp)


def test_the_starting_values_may_be_said_and_are_the_shops_own_then(store: Store) -> None:
    """No line of history says that an empty name of a tax became an empty name."""
    assert say(store, STARTING, MARCH)
    assert not on(store, MARCH).starting
    assert on(store, MARCH) == replace(STARTING, starting=False)
    with store.reading() as session:
        (row,) = list_terms(session)
        assert "tax_name" not in {line.field for line in history(session, "terms", row.id)}


@pytest.mark.parametrize(("margin_bp", "markup_bp"), [(0, 0), (3333, 4999), (4000, 6667), (5000, 10000)])
def test_a_margin_is_a_markup(margin_bp: int, markup_bp: int) -> None:
    """Margin = markup / (1 + markup): 50 % on cost is 33.33 % of the price, 40 % of it is 66.67 % on cost.

    Both pairs are published trade arithmetic; 33.33 is a third cut off, so it gives 49.99.
    """
    assert replace(OURS, margin_bp=margin_bp).markup_bp == markup_bp


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"margin_bp": 9501}, "margin"),
        ({"margin_bp": -1}, "margin"),
        ({"waste_bp": 30_001}, "waste"),
        ({"tax_bp": 10_000.1}, "tax"),
        ({"tax_bp": -0.1}, "tax"),
        ({"tax_bp": float("nan")}, "tax"),
        ({"tax_name": ""}, "tax_name"),
        ({"least_cents": -1}, "least"),
        ({"deposit_bp": 10_001}, "deposit"),
        ({"valid_days": 0}, "valid_days"),
        ({"valid_days": 3651}, "valid_days"),
    ],
)
def test_what_can_not_be_meant_is_refused_by_field(store: Store, wrong: dict[str, int], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        say(store, replace(OURS, **wrong), MARCH)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert on(store, MARCH).starting


def test_the_largest_terms_fit_into_their_table(store: Store) -> None:
    most = Terms(9500, 30_000, 10_000, "tax", 10**11, 10_000, 3650)
    assert say(store, most, MARCH)
    assert on(store, MARCH) == most


def test_another_change_of_the_terms_is_seen(store: Store) -> None:
    with store.reading() as session:
        seen = newest_line(session)
    say(store, OURS, MARCH)
    with (
        pytest.raises(BadInput, match=r"Somebody changed this .*margin, waste"),
        store.writing() as session,
        not_overtaken(session, lines_about_terms(), seen),
    ):
        say_terms(session, STARTING, from_on=MARCH, who=None, now=NOW)
    assert on(store, MARCH) == OURS
