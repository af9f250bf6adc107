"""Terms of a quote: the shop's of the day, unless it says its own."""

from dataclasses import fields
from datetime import date

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.quoting.kept import KeptTerms
from shoptrack.flows.quoting.terms import terms_for
from shoptrack.flows.quoting.wanted import TermsSaid
from shoptrack.store.rates import list_rates
from tests.flows.quoting.shop import TERMS
from tests.joinery import Joinery

TODAY = date(2026, 11, 25)


def found(joinery: Joinery, said: TermsSaid, on: date = TODAY) -> KeptTerms:
    with joinery.store.reading() as session:
        return terms_for(session, said, list_rates(session), on, works=True)


def test_the_shops_terms_count(joinery: Joinery, wood: int) -> None:
    terms = found(joinery, TermsSaid())
    own = [field.name for field in fields(KeptTerms) if field.name != "hands_cents_per_h"]
    assert [getattr(terms, name) for name in own] == [getattr(TERMS, name) for name in own]
    assert terms.hands_cents_per_h == 6000


def test_what_the_quote_says_wins_nought_too(joinery: Joinery, wood: int) -> None:
    said = TermsSaid(0, 0, 0, "", 0, 0, 7, 0)
    terms = found(joinery, said)
    assert [getattr(terms, field.name) for field in fields(said)] == [0, 0, 0, "", 0, 0, 7, 0]


def test_a_day_before_any_rate_has_none(joinery: Joinery, wood: int) -> None:
    with pytest.raises(BadInput, match="Nobody said yet"):
        found(joinery, TermsSaid(), date(2024, 1, 1))


@pytest.mark.parametrize(
    ("said", "field"),
    [
        (TermsSaid(margin_bp=-1), "margin"),
        (TermsSaid(waste_bp=30_001), "waste"),
        (TermsSaid(tax_bp=10_000.1), "tax"),
        (TermsSaid(deposit_bp=10_001), "deposit"),
        (TermsSaid(least_cents=-1), "least"),
        (TermsSaid(hands_cents_per_h=-1), "hour"),
        (TermsSaid(valid_days=3_651), "valid_days"),
    ],
)
def test_a_term_that_cannot_be_is_named(joinery: Joinery, wood: int, said: TermsSaid, field: str) -> None:
    with pytest.raises(BadInput) as refused:
        found(joinery, said)
    assert refused.value.field == field
