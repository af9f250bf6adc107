"""Drafts are made once, changed by revisions beside each other, and copied."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest

from shoptrack.errors import BadInput, ChangedMeanwhile, NotFound, Refused
from shoptrack.flows.quoting import answers, drafts
from shoptrack.store import quotes
from shoptrack.store.customers import Called, add_customer, customer_named
from shoptrack.store.edits import history
from shoptrack.store.pattern_stages import stages_of
from shoptrack.store.patterns import revise_pattern
from tests.flows.quoting.shop import FORM, kept, made, out, row_of, tray, worked_out
from tests.joinery import NOW, PIET, UNA, Joinery

LATER = NOW + timedelta(hours=1)


def test_a_form_sent_twice_makes_one_quote(joinery: Joinery, wood: int) -> None:
    first, again = made(joinery, tray(joinery, wood)), made(joinery, tray(joinery, wood, title="other"))
    assert first == again
    assert row_of(joinery, first)["title"] == "two trays"
    with joinery.store.reading() as session:
        assert len(quotes.list_quotes(session, NOW.date())) == 1
        assert len(quotes.quote_row(session, first).revisions) == 1
        assert [line.field for line in history(session, "quotes", first)] == ["made"]


def test_four_taps_at_once_make_one_quote(joinery: Joinery, wood: int) -> None:
    wanted = tray(joinery, wood)
    with ThreadPoolExecutor(4) as hands:
        found = list(hands.map(lambda _: made(joinery, wanted), range(4)))
    assert len(set(found)) == 1
    with joinery.store.reading() as session:
        assert sum(quotes.count_quotes(session, NOW.date()).values()) == 1


def test_what_is_shown_before_is_what_is_kept(joinery: Joinery, wood: int) -> None:
    shown = drafts.preview(joinery.store, tray(joinery, wood), FORM, NOW)
    assert kept(joinery, made(joinery, tray(joinery, wood))) == replace(shown, who=UNA)


def test_a_change_is_a_revision_and_the_one_before_stays(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    before = kept(joinery, quote)
    wanted = tray(joinery, wood, title="three trays", pieces=3, customer="Ruy Plas")
    shown = drafts.preview(joinery.store, wanted, "another form", LATER, quote)
    assert drafts.revise(joinery.store, quote, 1, wanted, PIET, LATER) == 2
    after = kept(joinery, quote)
    assert after == replace(shown, who=PIET)
    assert (after.number, after.who, after.made_at) == (2, PIET, LATER)
    with joinery.store.reading() as session:
        row = quotes.quote_row(session, quote)
        assert (row.title, row.buyer.name) == ("three trays", "Ruy Plas")
        assert drafts.kept_of(row.revisions[0]) == before


def test_a_change_sent_twice_is_one_revision(joinery: Joinery, wood: int) -> None:
    quote, wanted = made(joinery, tray(joinery, wood)), tray(joinery, wood, pieces=3)
    found = [drafts.revise(joinery.store, quote, 1, wanted, UNA, NOW) for _ in range(2)]
    assert found == [2, 2]
    assert kept(joinery, quote).number == 2


def test_two_tabs_do_not_overwrite_each_other(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=3), UNA, NOW)
    with pytest.raises(ChangedMeanwhile, match="What you typed is still here"):
        drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=4), PIET, NOW)
    with pytest.raises(ChangedMeanwhile):
        drafts.revise(joinery.store, quote, 7, tray(joinery, wood, pieces=4), PIET, NOW)
    assert kept(joinery, quote).wanted.pieces == 3


def test_the_same_words_again_are_reckoned_anew(joinery: Joinery, wood: int) -> None:
    """Nothing was typed, but the day, rates and prices may be others: it is a revision of its own."""
    quote = made(joinery, tray(joinery, wood))
    december = NOW + timedelta(days=10)
    assert drafts.revise(joinery.store, quote, 1, tray(joinery, wood), UNA, december) == 2
    assert kept(joinery, quote).bought[0].cents_each == 1300


def test_a_change_of_one_that_is_out_makes_it_a_draft(joinery: Joinery, wood: int) -> None:
    """The customer has the old one in hand: until the new one is sent nobody can take what nobody saw."""
    quote = out(joinery, tray(joinery, wood))
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=3), UNA, NOW)
    row = row_of(joinery, quote)
    assert (row["standing"], row["out_at"], row["valid_until_on"]) == ("draft", None, None)


def test_an_answered_quote_stays_as_it_is_and_is_copied(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    answers.turn_down(joinery.store, quote, 1, "too dear", UNA, NOW)
    with pytest.raises(Refused, match="Copy it as a new one"):
        drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=3), UNA, NOW)
    copies = [drafts.copy_as_new(joinery.store, quote, "c" * 32, PIET, LATER) for _ in range(2)]
    assert copies[0] == copies[1] != quote
    old, new = kept(joinery, quote), kept(joinery, copies[0])
    assert new.wanted == old.wanted
    assert (new.number, new.who, row_of(joinery, copies[0])["standing"]) == (1, PIET, "draft")
    assert row_of(joinery, copies[0])["customer_id"] == row_of(joinery, quote)["customer_id"]


def test_a_form_is_filled_with_what_was_wanted(joinery: Joinery, wood: int) -> None:
    wanted = tray(joinery, wood)
    quote = made(joinery, wanted)
    with joinery.store.reading() as session:
        assert drafts.wanted_of(session, quote) == wanted


def test_one_of_two_customers_of_a_name_must_be_chosen(joinery: Joinery, wood: int) -> None:
    """And when chosen, the form says which one; a wrong one leaves no quote behind."""
    with joinery.store.writing() as session:
        first = customer_named(session, "Odile Marr").id
        add_customer(session, Called("Odile Marr"), UNA, NOW)
    with pytest.raises(BadInput, match="There are 2 customers"):
        made(joinery, tray(joinery, wood))
    quote = made(joinery, tray(joinery, wood, customer=f"Odile Marr (no. {first})"))
    with joinery.store.reading() as session:
        assert drafts.wanted_of(session, quote).customer == f"Odile Marr (no. {first})"
        assert len(quotes.list_quotes(session, NOW.date())) == 1


def test_a_new_quote_begins_from_the_newest_revision(joinery: Joinery, wood: int) -> None:
    with joinery.store.writing() as session:
        newest = revise_pattern(session, 1, stages=stages_of(session, 1)[:2], now=NOW).id
    with joinery.store.reading() as session:
        begun = drafts.begin(session, 1, 2)
    assert begun is not None
    assert begun.revision == newest
    assert len(worked_out(joinery, replace(begun, customer="Ruy")).made.stages) == 2


def test_no_such_quote(joinery: Joinery, wood: int) -> None:
    wanted = tray(joinery, wood)
    with pytest.raises(NotFound):
        drafts.revise(joinery.store, 5, 1, wanted, UNA, NOW)
    with pytest.raises(NotFound):
        drafts.copy_as_new(joinery.store, 2**70, FORM, UNA, NOW)
