"""What is wanted is a plain value: it can't change, and says nothing that nobody said."""

from dataclasses import FrozenInstanceError, fields

import pytest

from shoptrack.flows.quoting.wanted import BOUGHT_KINDS, TermsSaid, Wanted
from shoptrack.store.costs import COST_KINDS


def test_the_least_that_is_wanted_is_a_customer_and_a_title() -> None:
    wanted = Wanted("Ruy", "a shelf")
    assert (wanted.pieces, wanted.revision, wanted.price_cents) == (1, None, None)
    assert wanted.price_at == "eight in ten"
    assert all(getattr(wanted.terms, field.name) is None for field in fields(TermsSaid))
    with pytest.raises(FrozenInstanceError):
        wanted.pieces = 2  # type: ignore[misc] # that it can't be is the point


def test_what_is_bought_is_of_the_kinds_that_costs_have_and_glue_and_finish() -> None:
    assert set(BOUGHT_KINDS) == {*COST_KINDS, "glue and finish"}
