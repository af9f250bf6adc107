"""The quotes: listed by where they stand, one as the shop sees it, answered, copied, and its two sheets."""

import re
from datetime import date

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from shoptrack.flows.quoting import answers
from shoptrack.store.tables import CustomerRow, QuoteRow
from tests.flows.quoting.shop import ad_hoc, kept, made, out, price_all, tray
from tests.joinery import NOW, UNA, Joinery
from tests.web.quoting import form, post, press, saved, wrong_of
from tests.web.test_floor import text_of


@pytest.fixture(autouse=True)
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def page_of(client: FlaskClient, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return text_of(answer.text)


def test_the_list_says_where_each_stands(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    """A draft, one out, a lapsed one in words, one taken with its job, one turned down with its reason."""
    assert "There is no quote yet" in page_of(office, "/quotes")
    plain = ad_hoc(joinery)
    for n in range(4):
        out(joinery, plain, f"{n:032}")
    made(joinery, tray(joinery, wood), "d" * 32)
    job = answers.take(joinery.store, 1, 1, UNA, NOW)
    answers.turn_down(joinery.store, 2, 1, "too dear & late", UNA, NOW)
    with joinery.store.writing() as session:
        session.execute(update(QuoteRow).where(QuoteRow.id == 3).values(valid_until_on=date(2026, 11, 24)))
    html = office.get("/quotes").text
    words = text_of(html)
    for said in (
        "Drafts, 1", "Out with the customer, 1 4 a shelf", "holds until Fri 25 Dec",
        "Lapsed: nobody answered in time, 1", "held until yesterday", "Taken, 1", "became job",
        "turned down 13:24: too dear &amp; late", "5 two trays · Odile Marr · 2 pieces",
    ):  # fmt: skip
        assert said in words, said
    assert f'href="/jobs/{job}"' in html
    assert re.search(r"\d h \d\d to \d+ h( \d\d)? half under \d", words)
    one = page_of(office, "/quotes?show=turned+down")
    assert "too dear" in one
    assert "two trays" not in one


def test_found_by_words_and_by_number(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    made(joinery, tray(joinery, wood), "d" * 32)
    made(joinery, ad_hoc(joinery), "e" * 32)
    assert "a shelf" not in page_of(office, "/quotes?q=ODILE+tray")
    assert "two trays" in page_of(office, "/quotes?q=ODILE+tray")
    assert "a shelf" in page_of(office, "/quotes?q=2")
    assert "No quote has all of these words" in page_of(office, "/quotes?q=walnut")
    assert office.get("/quotes?show=nonsense").status_code == 400
    assert "There is none on this page" in page_of(office, "/quotes?show=draft&page=7")


def test_a_quote_as_the_shop_sees_it(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    """Ranges, both prices, what the chosen one leaves, each stage with what it rests on, what is bought."""
    quote = made(joinery, tray(joinery, wood))
    found, words = kept(joinery, quote), page_of(office, f"/quotes/{quote}")
    money = lambda cents: f"{round(cents) / 100:,.2f} USD"  # noqa: E731 # short for the lines below
    for said in (
        "A draft", f"price {money(found.judged.price_cents)}", f"half under {money(found.worked.cents.p50)}",
        f"Price at the middle cost {money(found.worked.price_p50_cents)}",
        f"8 in 10 stay under {money(found.worked.price_p80_cents)}",
        f"to be paid {money(found.sums.total_cents)}", f"deposit, 50 % {money(found.sums.deposit_cents)}",
        "Chance of losing money on it:", "5 of 5 stages untested", "VAT, 8 %", "feet, chosen 25.00 USD",
        "may be chosen: a lid + 90.00 USD", "cherry, 5/4 material", "An hour of hands: 60.00 USD",
        "she likes straight grain", "Put it out", "revision 1",
    ):  # fmt: skip
        assert said in words, said
    for work in found.reckoned:
        assert work.stage.sentence in words
    assert "quote-stick" in office.get(f"/quotes/{quote}").text


def test_another_price_is_judged_and_saves_nothing(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    words = page_of(office, f"/quotes/{quote}?price=1")
    assert "Chance of losing money on it: all but certain" in words
    assert "short by" in words
    assert "Change the quote to this price" in words
    dear = page_of(office, f"/quotes/{quote}?price=1000000")
    assert "Chance of losing money on it: less than 1 in 200" in dear
    assert " – " in page_of(office, f"/quotes/{quote}?price=0"), "a price of nought leaves no margin"
    answer = office.get(f"/quotes/{quote}?price=a+lot")
    assert wrong_of(answer)[0] == "price"
    assert 'value="a lot"' in answer.text


def test_from_out_to_the_job(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    """Put out until a day, taken with a promised date; tapped twice there is one job, linked both ways."""
    quote = made(joinery, tray(joinery, wood))
    path = f"/quotes/{quote}"
    for _ in range(2):
        assert post(office, f"{path}/out", number="1", valid_until="2026-12-09").location == path
    assert "holds until Wed 9 Dec, that day too" in page_of(office, path)
    said = {"number": "1", "promised_on": "2027-02-01", "must_keep": "yes"}
    job = post(office, f"{path}/taken", **said).location
    assert post(office, f"{path}/taken", **said).location == job
    words = page_of(office, job)
    assert f"made from quote {quote}" in words
    assert "1 Feb 2027, must be kept" in words
    after = office.get(path).text
    assert f'href="{job}"' in after
    assert f"{path}/revise" not in after
    assert f"{path}/taken" not in after
    assert "stays as it is" in text_of(office.get(f"{path}/revise").text)


def test_turned_down_with_a_reason(office: FlaskClient, joinery: Joinery) -> None:
    quote = out(joinery, ad_hoc(joinery))
    assert wrong_of(post(office, f"/quotes/{quote}/turned-down", number="1", why=" ")) == (
        "why",
        "The reason is missing.",
    )
    for _ in range(2):
        answer = post(office, f"/quotes/{quote}/turned-down", number="1", why="no <b>money</b>")
        assert answer.status_code == 303
    assert "no &lt;b&gt;money&lt;/b&gt;" in office.get(f"/quotes/{quote}").text


def test_what_can_not_be_answered(office: FlaskClient, joinery: Joinery) -> None:
    """A last day that is over, a form of an older revision, a lapsed quote, one that is not there."""
    quote = made(joinery, ad_hoc(joinery))
    assert (
        wrong_of(post(office, f"/quotes/{quote}/out", number="1", valid_until="2026-11-24"))[0]
        == "valid_until"
    )
    assert post(office, f"/quotes/{quote}/out", number="").status_code == 400
    assert post(office, f"/quotes/{quote}/taken", number="1").status_code >= 400
    for answer, said in (("out", {}), ("turned-down", {"why": "too dear"})):
        old = post(office, f"/quotes/{quote}/{answer}", number="7", **said)
        assert old.status_code == 400
        assert "newer revision" in old.text
    assert post(office, f"/quotes/{quote}/turned-down", why="too dear").status_code == 400
    for path in ("/quotes/9", "/quotes/9/sheet", f"/quotes/{quote}?revision=5"):
        assert office.get(path).status_code == 404, path
    assert post(office, "/quotes/9/turned-down", number="1", why="gone").status_code == 404


def test_a_copy_is_made_once(office: FlaskClient, joinery: Joinery) -> None:
    quote = made(joinery, ad_hoc(joinery))
    places = {post(office, f"/quotes/{quote}/copy", id="c" * 32).location for _ in range(2)}
    assert places == {"/quotes/2"}
    assert "A draft" in page_of(office, "/quotes/2")
    assert post(office, f"/quotes/{quote}/copy", id="").status_code == 400


def test_no_inner_number_is_on_the_customers_sheet(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    """The shop's own sheet has hours, rates, margin and cost; the customer's none of them."""
    quote = made(joinery, tray(joinery, wood))
    found = kept(joinery, quote)
    theirs, own = (page_of(office, f"/quotes/{quote}/{name}") for name in ("sheet", "own-sheet"))
    for said in (
        "two trays", "2 pieces", "oiled, with rounded corners", "feet 25.00", "a lid 90.00", "VAT, 8 %",
        "Sedge Lane Joinery", "Fri 25 Dec 2026", "to the door 40.00", "Odile Marr",
    ):  # fmt: skip
        assert said in theirs, said
    assert f"{found.sums.deposit_cents / 100:,.2f} USD" in theirs
    inner = [f"{round(c) / 100:,.2f}" for c in (found.worked.cents.p50, found.worked.cents.p80)]
    inner += ["60.00", "25 %", "milling", "half", "margin", "markup", "cost", "cherry", "straight grain"]
    for never in inner:
        assert never not in theirs.partition("two trays")[2].lower(), never
        assert never in own.lower(), never
    assert not re.search(r"\d+ (h|min)\b", theirs)


def test_a_tax_of_three_decimals_from_the_form_to_the_sheet(
    office: FlaskClient, joinery: Joinery, wood: int
) -> None:
    """8.875 % of 1,234.56 is 109.57: on the page, on the sheet, for programs, and in the form again."""
    quote = saved(office, tax="8,875", price="1234.56", **{"charge-0-kind": "other", "charge-0-price": "0"})
    path = f"/quotes/{quote}"
    for page in (path, f"{path}/sheet"):
        words = page_of(office, page)
        assert "VAT, 8.875 % 109.57" in words, page
        assert "1,344.13 USD" in words, page
    again = form(office, f"{path}/revise")
    assert again["tax"] == "8.875"
    said = office.get(f"/api/quotes/{quote}").json
    assert said is not None
    assert (said["sums"]["tax_cents"], said["sums"]["total_cents"]) == (10_957, 134_413)
    press(office, f"{path}/revise", again | {"tax": ""}, "save")
    assert "tax: 8.875 % 8 %" in page_of(office, path)


def test_an_older_revision_can_still_be_seen_and_printed(
    office: FlaskClient, joinery: Joinery, wood: int
) -> None:
    quote = made(joinery, tray(joinery, wood))
    path = f"/quotes/{quote}"
    press(
        office,
        f"{path}/revise",
        form(office, f"{path}/revise") | {"title": "three trays", "pieces": "3"},
        "save",
    )
    words = page_of(office, path)
    assert "title: two trays three trays" in words
    assert "pieces: 2 3" in words
    older = page_of(office, f"{path}?revision=1")
    assert "This is revision 1; the newest is 2" in older
    assert "Put it out" not in older
    assert "two trays" in page_of(office, f"{path}/sheet?revision=1")
    assert "three trays" in page_of(office, f"{path}/sheet")


def test_quotes_of_a_customer_and_of_a_pattern(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    made(joinery, tray(joinery, wood))
    with joinery.store.reading() as session:
        (customer,) = session.query(CustomerRow.id).filter_by(name="Odile Marr").one()
    assert "two trays draft of 13:24" in page_of(office, f"/customers/{customer}")
    assert 'href="/quotes/new?pattern=1"' in office.get("/patterns/1").text


def test_a_bench_tablet_gets_no_quote(bare_app: Flask, joinery: Joinery) -> None:
    """Nobody who has not said who they are gets past the door."""
    made(joinery, ad_hoc(joinery))
    client = bare_app.test_client()
    for path in ("/quotes", "/quotes/1", "/quotes/1/sheet", "/quotes/1/own-sheet"):
        assert client.get(path).location.startswith("/office"), path
    assert post(client, "/quotes/1/copy", id="c" * 32).status_code == 403
