"""What an hour costs on its page: the sum, the working, and the button that makes it the rate."""

import re

import pytest
from flask.testing import FlaskClient

from shoptrack.store.db import Store
from shoptrack.store.hour_costs import YearSaid, list_years, year_on
from shoptrack.store.rates import hands_rate, list_rates
from tests.joinery import NOW, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

HERE = "/shop/hour-cost"
SENT = {
    "wages": "62,400",
    "taxes": "7488",
    "benefits": "10000.00",
    "overhead": "4000",
    "paid_h": "1,920 h",
    "on_jobs": "70 %",
}
YEAR = YearSaid(6_240_000, 748_800, 1_000_000, 400_000, 1920.0, 7000)


def year(store: Store) -> YearSaid | None:
    with store.reading() as session:
        return year_on(session, NOW.date())


def anybodys(store: Store) -> int | None:
    with store.reading() as session:
        return hands_rate(list_rates(session), None, NOW.date())


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of the form that makes it the rate."""
    form = page.partition(f'action="{HERE}/rate"')[2].partition("</form>")[0]
    return dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))


def test_before_anything_is_said(office: FlaskClient) -> None:
    """The hours of the working weeks are there to begin with; a log of nothing is said to be too little."""
    page = office.get(HERE).text
    words = text_of(page)
    assert "Too little to tell a share: 0 h since people began to tap; it takes 80 h." in words
    assert "as the rate" not in words
    assert re.search(r'name="paid_h" type="text" value="4\d{3}"', page)
    assert "reckoned from a year: none said yet" in text_of(office.get("/shop").text)


def test_the_published_working(office: FlaskClient, store_of: Store) -> None:
    """83,888 over 1,344 h is 62.42, over all 1,920 h it would be 43.69 (the published burdened rate)."""
    for _ in range(2):
        assert post(office, HERE, **SENT)[0] == 303
    assert year(store_of) == YEAR
    page = office.get(HERE).text
    words = text_of(page)
    assert "together 83,888.00 USD" in words
    assert "83,888.00 USD / 1,344 h = 62.42 USD an hour" in words
    assert "Over all 1,920 h it would be 43.69 USD, and 576 h a year would be paid by nobody." in words
    assert "Overhead is in this hour and nowhere else" in words
    assert 'aria-label="1,920 h at work in a year, 1,344 h on jobs"' in page
    assert "83,888.00 USD over 1,920 h, on jobs 70 %" in text_of(office.get("/shop").text)
    with store_of.reading() as session:
        assert len(list_years(session)) == 1
    history = text_of(office.get("/shop/history?thing=what+an+hour+costs").text)
    assert "on jobs nothing typed → 70 %" in history
    assert "paid hours nothing → 1920" in history


def test_it_becomes_the_rate(office: FlaskClient, store_of: Store) -> None:
    """Una has a rate of her own, which is said to stay."""
    post(office, "/shop/rates", whose="person-1", rate="70")
    post(office, HERE, **SENT)
    page = office.get(HERE).text
    words = text_of(page)
    assert "There is no rate for anybody’s hands yet. Una has a rate of their own, which stays." in words
    sent = hidden(page)
    for _ in range(2):
        assert post(office, f"{HERE}/rate", **sent, rate_from_on="2026-11-01")[0] == 303
    assert anybodys(store_of) == 6242
    words = text_of(office.get(HERE).text)
    assert "62.42 USD is the rate of anybody’s hands." in words
    assert "as the rate" not in words
    assert "not a date" in wrong(office, f"{HERE}/rate", **sent, rate_from_on="soon")
    assert "anybody’s hands 62.42 USD" in text_of(office.get("/shop/rates").text)


def test_it_becomes_the_rate_of_a_later_day(office: FlaskClient, store_of: Store) -> None:
    post(office, HERE, **SENT)
    sent = hidden(office.get(HERE).text)
    assert post(office, f"{HERE}/rate", **sent, rate_from_on="2026-12-01")[0] == 303
    words = text_of(office.get(HERE).text)
    assert anybodys(store_of) is None
    assert "There is no rate for anybody’s hands yet. From Tue 1 Dec it is 62.42 USD." in words


def test_an_hour_that_costs_something_else_by_now(office: FlaskClient, store_of: Store) -> None:
    post(office, HERE, **SENT)
    sent = hidden(office.get(HERE).text)
    post(office, HERE, **{**SENT, "on_jobs": "75"})
    assert "comes out otherwise by now" in wrong(office, f"{HERE}/rate", **sent)
    assert anybodys(store_of) is None
    page = post(office, f"{HERE}/rate", **sent)[1]
    assert hidden(page)["cents"] == "5826"
    assert "not a date" in wrong(office, f"{HERE}/rate", **hidden(page), rate_from_on="soon")
    assert post(office, f"{HERE}/rate", **hidden(page))[0] == 303


def test_an_old_button_does_not_undo_anothers_rate(office: FlaskClient, store_of: Store) -> None:
    post(office, HERE, **SENT)
    sent = hidden(office.get(HERE).text)
    post(office, "/shop/rates", whose="hands", rate="55")
    status, page = post(office, f"{HERE}/rate", **sent)
    assert status == 400
    assert "changed this after you opened it" in page
    assert anybodys(store_of) == 5500
    assert post(office, f"{HERE}/rate", **hidden(page))[0] == 303
    assert anybodys(store_of) == 6242


def test_a_share_that_is_left_to_the_log(office: FlaskClient, store_of: Store) -> None:
    assert post(office, HERE, **{**SENT, "on_jobs": ""})[0] == 303
    words = text_of(office.get(HERE).text)
    assert "What an hour on jobs costs can’t be told yet." in words
    assert "as the rate" not in words
    assert wrong(office, f"{HERE}/rate", cents="6242") == (
        "An hour comes out otherwise by now: look it over and press again."
    )
    assert anybodys(store_of) is None


def test_the_share_of_the_log(office: FlaskClient, joinery: Joinery) -> None:
    """Twelve days of 8.5 h, 4 h each on jobs and 2 of shop time: 48 of 102 h, and nobody knows of 30."""
    tray = joinery.add("tray", "tray", None)
    for n in (-16, -15, -14, -13, -12, -9, -8, -7, -6, -5, -2, -1):
        joinery.tap("start", at("8:00", n), tray["milling"])
        joinery.tap("pause", at("12:00", n), tray["milling"])
        joinery.tap("start", at("12:30", n), text="sweeping")
        joinery.tap("pause", at("14:30", n))
    assert post(office, HERE, **{**SENT, "on_jobs": ""})[0] == 303
    words = text_of(office.get(HERE).text)
    assert "to yesterday, 48 h of 102 h were on jobs: 47.06 %" in words
    assert "24 h were shop time, and of 30 h nobody knows: if jobs were among them" in words
    assert "83,888.00 USD / 903.55 h = 92.84 USD an hour" in words  # 1,920 h · 47.06 % = 903.552 h


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("wages", "", "Say what the wages of a year are."),
        ("wages", "much", "“much” is not an amount of money: write it like 1250 or 12.50."),
        ("taxes", "-1", "That price can’t be meant."),
        ("paid_h", "", "Say how many hours a year has."),
        ("paid_h", "1.920", "The hours of a year are a number from 10 to 1,000,000, like 1920."),
        ("paid_h", "1e309", "The hours of a year are a number from 10 to 1,000,000, like 1920."),
        ("paid_h", "many", "The hours of a year are a number from 10 to 1,000,000, like 1920."),
        ("on_jobs", "0", "The share on jobs is above 0 % and at most 100 %."),
        ("on_jobs", "101", "The share on jobs is above 0 % and at most 100 %."),
        ("from_on", "2026-02-30", "The day it counts from is not a date; one looks like 2027-03-14."),
    ],
)
def test_what_is_wrong_stands_beside_the_field(
    office: FlaskClient, store_of: Store, field: str, typed: str, sentence: str
) -> None:
    """Nothing that was typed is lost, and nothing is kept."""
    status, page = post(office, HERE, **{**SENT, field: typed})
    assert status == 400
    assert sentence in text_of(page)
    assert f'id="wrong-{field}"' in page
    assert 'value="10000.00"' in page
    assert year(store_of) is None


def test_hours_are_read_as_makers_write_them(office: FlaskClient, store_of: Store) -> None:
    for typed, hours in (("1920", 1920.0), ("1 920,5", 1920.5), ("12,345.5h", 12345.5), ("1920,25", 1920.25)):
        assert post(office, HERE, **{**SENT, "paid_h": typed})[0] == 303
        said = year(store_of)
        assert said is not None
        assert said.paid_h == hours


def test_money_is_the_offices(client: FlaskClient) -> None:
    assert client.get(HERE).status_code == 303
    for path in (HERE, f"{HERE}/rate"):
        assert client.post(path, data=SENT, headers=ORIGIN).status_code == 403
