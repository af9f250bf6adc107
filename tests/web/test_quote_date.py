"""The date on a quote's page: reckoned when asked for, kept, and its chance for a day the customer wants."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from shoptrack.flows.planning.promised import QuotePromise, promise_of_quote
from shoptrack.store.promised_dates import kept_and_missed
from shoptrack.store.quotes import quote_row
from tests.flows.quoting.shop import made, out, price_all, tray
from tests.joinery import Joinery
from tests.web.quoting import post, wrong_of
from tests.web.test_floor import text_of


@pytest.fixture(autouse=True)
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def kept(joinery: Joinery, quote: int) -> QuotePromise | None:
    with joinery.store.reading() as session:
        return promise_of_quote(session, quote_row(session, quote).revisions[-1].id)


def page(office: FlaskClient, path: str) -> str:
    return " ".join(text_of(office.get(path).text).split())


def test_a_date_is_reckoned_once_and_stands(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    assert "Reckon the date" in page(office, f"/quotes/{quote}")
    assert kept(joinery, quote) is None
    assert post(office, f"/quotes/{quote}/date").status_code == 303
    found = kept(joinery, quote)
    assert found is not None
    assert found.p80_on is not None
    words = page(office, f"/quotes/{quote}")
    assert "kept 8 times in 10, if the answer is here by Wed 2 Dec" in words
    assert "It depends most on" in words
    assert f'name="promised_on" type="date" value="{found.p80_on}"' in office.get(f"/quotes/{quote}").text
    post(office, f"/quotes/{quote}/date")
    assert kept(joinery, quote) == found
    assert "Ready by" in page(office, f"/quotes/{quote}/sheet")
    late = page(office, f"/quotes/{quote}?by=2027-06-01")
    assert "more than 99 in 100" in late
    assert "less than 1 in 100" in page(office, f"/quotes/{quote}?by=2026-11-26")


def test_a_day_that_is_none_is_said_beside_its_field(
    office: FlaskClient, joinery: Joinery, wood: int
) -> None:
    quote = made(joinery, tray(joinery, wood))
    answer = office.get(f"/quotes/{quote}?by=someday")
    assert answer.status_code == 400
    post(office, f"/quotes/{quote}/date")
    answer = office.get(f"/quotes/{quote}?by=31.12.")
    assert wrong_of(answer)[0] == "by"


def test_no_such_quote(office: FlaskClient) -> None:
    assert post(office, "/quotes/77/date").status_code == 404
    assert date(2026, 11, 25).isoformat() not in page(office, "/quotes")


def test_what_was_shown_is_kept_with_the_job_and_in_the_document(
    office: FlaskClient, joinery: Joinery, wood: int
) -> None:
    """Taken for the day of eight in ten, the job remembers that chance; programs are told the same days."""
    quote = out(joinery, tray(joinery, wood))
    assert office.get(f"/api/quotes/{quote}").json["promise"] is None
    post(office, f"/quotes/{quote}/date")
    found = kept(joinery, quote)
    assert found is not None
    assert found.p80_on is not None
    said = office.get(f"/api/quotes/{quote}").json["promise"]
    assert said["eight_in_ten_by"] == found.p80_on.isoformat()
    assert said["by_day"][-1]["share"] == 1.0
    post(office, f"/quotes/{quote}/taken", number="1", promised_on=found.p80_on.isoformat())
    with joinery.store.reading() as session:
        (date_held,) = kept_and_missed(session)
    assert date_held.promised_on == found.p80_on
    assert date_held.chance == pytest.approx(found.chance_by(found.p80_on))
