"""One tap keeps what a stage took; the next of its line shows it on the Bench and on the job's page."""

import re

import pytest
from flask.testing import FlaskClient

from tests.joinery import PIET, Joinery, at
from tests.web.conftest import ORIGIN


@pytest.fixture
def tray(joinery: Joinery) -> dict[str, int]:
    """A tray that Piet milled from 9:00 to 10:25."""
    made = joinery.add("tray", "a tray", None, 2)
    joinery.tap("start", at("9:00"), made["milling"], person=PIET)
    joinery.tap("finish", at("10:25"), made["milling"], person=PIET)
    return made


def keep(client: FlaskClient, stage: int, **said: str) -> int:
    data = {"stage": str(stage), "person": "2", "back": "/bench/2", **said}
    return client.post("/last-time", data=data, headers=ORIGIN).status_code


def test_the_bench_offers_it_after_the_finish_and_says_when_it_is_kept(
    client: FlaskClient, tray: dict[str, int]
) -> None:
    assert "Keep for next time" in client.get("/bench/2").text
    assert "Keep for next time" not in client.get("/bench/1").text
    assert keep(client, tray["milling"], text="tear-out on the ash") == 303
    page = re.sub(r"<[^>]+>", "", client.get("/bench/2").text)
    assert "kept for next time: 1\xa0h\xa025 for 4 boards, today, Piet: tear-out on the ash" in page
    assert "Keep for next time" not in page


def test_the_next_of_the_line_is_told(client: FlaskClient, joinery: Joinery, tray: dict[str, int]) -> None:
    """On the page of the job, on the Bench where it is next, and on the Bench in hand."""
    keep(client, tray["milling"], text="knives <were> dull")
    following = joinery.add("tray", "the next tray", None)
    told = "1\xa0h\xa025</b> for 4 boards, today, Piet: <b>knives &lt;were&gt; dull"
    assert told in client.get(f"/jobs/{following['job']}").text
    joinery.tap("put-aside", at("10:30"), tray["glue-up"], person=PIET, reason="other")
    assert told in client.get("/bench/1").text
    joinery.tap("start", at("10:40"), following["milling"])
    assert told in client.get("/bench/1").text
    assert told in client.get("/bench/2/spare").text


def test_the_page_of_the_job_keeps_it_too(client: FlaskClient, tray: dict[str, int]) -> None:
    page = client.get(f"/jobs/{tray['job']}").text
    assert page.count('action="/last-time"') == 1
    keep(client, tray["milling"])
    assert "Say more for next time" in client.get(f"/jobs/{tray['job']}").text


def test_what_can_not_be_kept_says_why(client: FlaskClient, tray: dict[str, int]) -> None:
    assert keep(client, tray["glue-up"]) == 409
    assert keep(client, 999) == 404
    assert client.post("/last-time", data={}, headers=ORIGIN).status_code == 400
    assert keep(client, tray["milling"], back="//elsewhere") == 400
    assert keep(client, tray["milling"], text="x" * 1001) == 400
