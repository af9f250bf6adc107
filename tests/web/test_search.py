"""The search page: finds with their links, grouped, in pages, and nothing that was typed run as anything."""

import pytest
from flask.testing import FlaskClient

from shoptrack.web import rights
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def test_finds_are_grouped_with_links(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    page = office.get("/search?q=TRAY").text
    assert "Jobs, 3" in page
    assert "Patterns, 1" in page
    assert f'href="/jobs/{day.letter["job"]}"' in page
    assert 'value="TRAY"' in page


def test_a_bench_finds_no_customer(
    client: FlaskClient, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "Customers, 1" in client.get("/search?q=odile").text
    monkeypatch.setattr(rights, "may_see_money", lambda: False)
    page = client.get("/search?q=odile").text
    assert "Jobs, 5" in page
    assert "Customers" not in page


def test_a_quote_leads_to_its_page(office: FlaskClient, joinery: Joinery) -> None:
    made(joinery, tray(joinery, price_all(joinery), notes="<b>grain</b>"))
    page = office.get("/search?q=quote+1").text
    assert "Quotes, 1" in page
    assert 'href="/quotes/1"' in page
    assert "&lt;b&gt;grain&lt;/b&gt;" in page
    assert office.get("/quotes/1").status_code == 200


@pytest.mark.parametrize("path", ["/search?q=straight", "/search?q=quote+1", "/search?q=straight&in=quotes"])
def test_a_bench_finds_no_quote(
    client: FlaskClient, joinery: Joinery, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    """Neither the quote nor a word of it, nor that there is one, nor that quotes are searched."""
    made(joinery, tray(joinery, price_all(joinery)))
    assert "straight grain" in client.get(path).text
    monkeypatch.setattr(rights, "device_kind", lambda: "bench")
    answer = client.get(path)
    assert answer.status_code == 200
    assert "Nothing has all of these words" in answer.text
    assert "/quotes/1" not in answer.text
    assert "straight grain" not in answer.text


@pytest.mark.parametrize(
    "asked", ["", "%20", "zzz", "%3Cscript%3Ealert(1)%3C/script%3E", "%25", "🪵", "%27%22"]
)
def test_what_is_not_there(office: FlaskClient, joinery: Joinery, asked: str) -> None:
    answer = office.get(f"/search?q={asked}")
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text
    assert ("Nothing has all of these words" in answer.text) == (asked not in ("", "%20"))


@pytest.mark.parametrize("more", ["in=money", "page=0", "page=x", "in=jobs&page=-1"])
def test_what_is_no_page(office: FlaskClient, joinery: Joinery, more: str) -> None:
    assert office.get(f"/search?q=a&{more}").status_code == 400


def test_pages_of_one_sort(office: FlaskClient, joinery: Joinery) -> None:
    for n in range(35):
        form = {"after": str(n), "name": f"Fern {n:02}"}
        office.post("/customers", data=form, headers=ORIGIN)
    page = office.get("/search?q=fern").text
    assert "all 35" in page
    first = office.get("/search?q=fern&in=customers").text
    assert "Fern 29" in first
    assert "Fern 30" not in first
    assert "page=2" in first
    second = text_of(office.get("/search?q=fern&in=customers&page=2").text)
    assert "Fern 34" in second
    assert "the next ones" not in second
