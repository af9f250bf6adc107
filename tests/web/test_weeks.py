"""The page of a week: for the office, with each person's days drawn and in a table, and links to the taps."""

import re

from flask.testing import FlaskClient

from tests.joinery import BusyDay
from tests.web.test_floor import text_of


def test_a_week_of_the_shop(office: FlaskClient, day: BusyDay) -> None:
    page = office.get("/weeks").text
    words = text_of(page)
    assert "Week of Mon 23 Nov" in words
    for name in ("Una", "Piet", "paid", "on jobs", "shop time", "unknown", "beyond hours"):
        assert name in words
    assert 'href="/bench/1/taps?on=2026-11-25"' in page
    assert "The week after" not in words
    rows = re.findall(r"<tr.*?</tr>", page, re.S)
    wednesday = next(text_of(r) for r in rows if "/bench/1/taps?on=2026-11-25" in r)
    assert "8 h 30 2 h 02" in wednesday


def test_another_week_and_one_that_is_none(office: FlaskClient, day: BusyDay) -> None:
    words = text_of(office.get("/weeks?from=2026-11-18").text)
    assert "Week of Mon 16 Nov" in words
    assert "The week after" in words
    assert office.get("/weeks?from=then").status_code == 400


def test_it_is_for_the_office(client: FlaskClient, day: BusyDay) -> None:
    assert client.get("/weeks").headers["Location"].startswith("/office")
