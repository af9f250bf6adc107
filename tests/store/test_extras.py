"""Extras: numbered by job, added once by one form, and part of the price only while approved."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store import extras
from shoptrack.store.db import Store
from shoptrack.store.tables import ExtraRow
from tests.store.making import NOW, furnish, order

ASKED = date(2026, 3, 1)


def ask(session: Session, job: int, number: int, words: str, cents: int = 5000) -> ExtraRow:
    return extras.add_extra(
        session, job, number=number, words=words, cents=cents, asked_on=ASKED, who=None, now=NOW
    )


def test_extras_have_numbers_of_their_own_in_each_job(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        one, two = order(session, made)[0], order(session, made, "tray for the stairs")[0]
        assert [ask(session, one, n, w).number for n, w in ((1, "handles"), (2, "felt"))] == [1, 2]
        assert ask(session, two, 1, "handles").number == 1


def test_a_form_sent_twice_adds_one(store: Store) -> None:
    """Two tabs showed number 1: the same words are the same extra, other words get the next number, once."""
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        first, again, other = (
            ask(session, job, 1, "felt"),
            ask(session, job, 1, "felt"),
            ask(session, job, 1, "wax"),
        )
        assert first is again
        assert other.number == 2
        assert ask(session, job, 1, "wax") is other
        assert len(extras.extras_of(session, job)) == 2


def test_only_approved_extras_add_to_the_price(store: Store) -> None:
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        for n, cents in ((1, 100), (2, 20), (3, 3)):
            ask(session, job, n, f"extra {n}", cents)
        assert extras.approved_cents(session, job) == 0
        for _ in range(2):
            extras.approve(session, job, 1, ASKED, "by phone", None, NOW)
        extras.turn_down(session, job, 2, ASKED, None, NOW)
        assert extras.approved_cents(session, job) == 100
        extras.turn_down(session, job, 1, ASKED, None, NOW)
        assert extras.approved_cents(session, job) == 0
        extras.approve(session, job, 2, ASKED, "", None, NOW)
        extras.take_answer_back(session, job, 1, None, NOW)
        assert extras.approved_cents(session, job) == 20
        row = extras.extra_row(session, job, 1)
        assert (row.approved_on, row.turned_down_on, row.approved_how) == (None, None, "")


def test_an_extra_that_is_not_there(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, other = order(session, made)[0], order(session, made)[0]
        ask(session, job, 1, "felt")
        with pytest.raises(NotFound, match="no such extra"):
            extras.approve(session, other, 1, ASKED, "", None, NOW)
