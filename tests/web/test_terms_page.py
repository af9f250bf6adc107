"""Terms of a quote on their page: shown with the markup, said, given back with what is wrong."""

import pytest
from flask.testing import FlaskClient

from shoptrack.store.db import Store
from shoptrack.store.terms import STARTING, Terms, list_terms, terms_on
from tests.joinery import NOW
from tests.web.conftest import ORIGIN
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

SENT = {
    "margin": "40",
    "waste": "25 %",
    "tax": "8,1 %",
    "tax_name": "VAT",
    "least": "80",
    "deposit": "30",
    "valid_days": "14",
}
OURS = Terms(4000, 2500, 810, "VAT", 8000, 3000, 14)


def said(store: Store) -> Terms:
    with store.reading() as session:
        return terms_on(session, NOW.date())


def test_the_starting_values_are_marked(office: FlaskClient) -> None:
    words = text_of(office.get("/shop/terms").text)
    assert "Starting value – say your own." in words
    assert "30 % of the price, which is a markup of 42.86 % on the cost" in words
    assert "By date" not in words
    index = text_of(office.get("/shop").text)
    assert "starting value, say your own: margin 30 %, waste 20 %, deposit 50 %, holds 30 days" in index


def test_terms_are_said_and_shown(office: FlaskClient, store_of: Store) -> None:
    """40 % of the price is a markup of 66.67 % on the cost; a form sent twice says them once."""
    for _ in range(2):
        assert post(office, "/shop/terms", **SENT)[0] == 303
    assert said(store_of) == OURS
    page = office.get("/shop/terms?said=saved").text
    words = text_of(page)
    assert "Starting value" not in words
    assert "40 % of the price, which is a markup of 66.67 % on the cost" in words
    assert "VAT 8.1 % on top of the price" in words
    assert "where it takes 10, 12.5 are bought" in words
    assert 'aria-label="Of a price of 100, 60 is cost and 40 margin"' in page
    assert 'name="margin" type="text" value="40"' in page
    with store_of.reading() as session:
        assert len(list_terms(session)) == 1
    history = text_of(office.get("/shop/history?thing=terms+of+a+quote").text)
    assert "margin nothing → 40 %" in history
    assert "tax nothing → 8.1 %" in history
    assert "least nothing → 80.00 USD" in history


def test_a_tax_of_three_decimals(office: FlaskClient, store_of: Store) -> None:
    """8.875 %: said with a comma or a point, shown with a point, in the field again as it is."""
    for typed in ("8,875", "8.875 %"):
        assert post(office, "/shop/terms", **{**SENT, "tax": typed})[0] == 303
    assert said(store_of).tax_bp == 887.5
    page = office.get("/shop/terms").text
    assert "VAT 8.875 % on top of the price" in text_of(page)
    assert 'name="tax" type="text" value="8.875"' in page
    assert "VAT 8.875 %" in text_of(office.get("/shop").text)
    history = text_of(office.get("/shop/history?thing=terms+of+a+quote").text)
    assert history.count("tax nothing → 8.875 %") == 1


def test_what_may_be_empty_is_none(office: FlaskClient, store_of: Store) -> None:
    sent = {**SENT, "tax": "", "tax_name": "", "least": "", "deposit": "", "margin": "0", "waste": "0"}
    assert post(office, "/shop/terms", **sent)[0] == 303
    assert said(store_of) == Terms(0, 0, 0, "", 0, 0, 14)
    words = text_of(office.get("/shop/terms").text)
    assert words.count("none") >= 3
    assert "0 % of the price, which is a markup of 0 % on the cost" in words


def test_terms_from_a_later_day_do_not_hold_yet(office: FlaskClient, store_of: Store) -> None:
    """Until then the starting values hold, and the list does not say that the later ones hold now."""
    assert post(office, "/shop/terms", **SENT, from_on="2026-12-24")[0] == 303
    assert said(store_of) == STARTING
    words = text_of(office.get("/shop/terms").text)
    assert "Starting value" in words
    assert "from Thu 24 Dec margin 40 %" in words
    assert "holds now" not in words
    assert "from the beginning" not in words


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("margin", "", "Say the margin; 0 where there is none."),
        ("margin", "96", "A margin is a share of the price: from 0 % to 95 %."),
        ("margin", "-5", "“-5” is not a share: write it like 30 or 8.1 %."),
        ("margin", "33.333", "“33.333” has more than two decimals."),
        ("margin", "9" * 38, "A margin is a share of the price: from 0 % to 95 %."),
        ("waste", "", "Say what is bought on top; 0 where nothing is."),
        ("waste", "301", "The waste on top lies between 0 % and 300 %."),
        ("tax", "100.001", "A tax lies between 0 % and 100 %."),
        ("tax", "8.8751", "“8.8751” has more than three decimals."),
        ("tax_name", "  ", "Say what the tax is called, like VAT."),
        ("least", "ten", "“ten” is not an amount of money: write it like 1250 or 12.50."),
        ("deposit", "120 %", "A deposit is a share of what is paid: from 0 % to 100 %."),
        ("valid_days", "0", "The days a quote holds must be a whole number from 1 to 3650."),
        ("from_on", "soon", "The day it counts from is not a date; one looks like 2027-03-14."),
    ],
)
def test_what_is_wrong_stands_beside_the_field(
    office: FlaskClient, store_of: Store, field: str, typed: str, sentence: str
) -> None:
    """Nothing that was typed is lost, and nothing is kept."""
    assert wrong(office, "/shop/terms", **{**SENT, field: typed}) == sentence
    page = post(office, "/shop/terms", **{**SENT, field: typed})[1]
    assert f'id="wrong-{field}"' in page
    assert 'value="8,1 %"' in page or field == "tax"
    assert said(store_of).starting


def test_strange_names_of_a_tax_are_only_words(office: FlaskClient) -> None:
    assert post(office, "/shop/terms", **{**SENT, "tax_name": "<b>=1+1</b> 🪵"})[0] == 303
    page = office.get("/shop/terms").text
    assert "<b>" not in page
    assert "=1+1" in text_of(page)


def test_money_is_the_offices(client: FlaskClient) -> None:
    assert client.get("/shop/terms").status_code == 303
    assert client.post("/shop/terms", data=SENT, headers=ORIGIN).status_code == 403
