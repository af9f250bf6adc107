"""What if, by plain links and forms: chosen, seen, left out, kept by who may, and forgotten."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import head
from tests.joinery import NOW, BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def kept(client: FlaskClient, page: str) -> str:
    """Press Keep on a page as it was shown; gives where that leads."""
    (form,) = re.findall(r'<form method="post" action="/plan/what-if/keep">(.*?)</form>', page, re.DOTALL)
    fields: dict[str, list[str]] = {}
    for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form):
        fields.setdefault(name, []).append(value)
    answer = client.post("/plan/what-if/keep", data=fields, headers=ORIGIN)
    return answer.headers.get("Location", text_of(answer.text))


def test_choosing_leads_to_an_address_that_carries_it(client: FlaskClient, day: BusyDay) -> None:
    answer = client.get("/plan/what-if?add=off&off_person=1&off_on=2026-11-26")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/plan/what-if?c=off.1.2026-11-26")
    words = text_of(client.get(answer.headers["Location"]).text)
    assert "Una has tomorrow off" in words
    assert "What that would do" in words
    assert re.search(r"Late as before|Promised dates would be missed by \d+ days", words)


def test_a_second_change_joins_the_first_and_each_can_be_left_out(client: FlaskClient, day: BusyDay) -> None:
    first = "c=off.1.2026-11-26"
    answer = client.get(f"/plan/what-if?{first}&add=clamps&clamps_pool=1&clamps_count=4")
    assert answer.headers["Location"] == f"/plan/what-if?{first}&c=clamps.1.4"
    page = client.get(answer.headers["Location"]).text
    assert "4 more 600 mm clamps" in page
    assert 'href="/plan/what-if?c=clamps.1.4">Leave it out' in page
    again = client.get(f"/plan/what-if?{first}&add=off&off_person=1&off_on=2026-11-26")
    assert again.headers["Location"] == f"/plan/what-if?{first}"


def test_a_pin_moves_dates_and_today(client: FlaskClient, day: BusyDay) -> None:
    words = text_of(client.get(f"/plan/what-if?c=pin.{day.letter['glue-up']}.2026-11-30.all").text)
    assert re.search(r"letter tray yesterday .*? later", words)
    assert "in place of" in words


def test_nothing_is_written_before_keep(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.reading() as session:
        before = head(session)
    client.get("/plan/what-if?c=off.1.2026-11-26&c=first.1")
    with joinery.store.reading() as session:
        assert head(session) == before


def test_keep_writes_it_and_leads_to_the_plan(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    page = office.get(f"/plan/what-if?c=off.2.2026-11-26&c=clamps.1.4&c=first.{day.elm['job']}").text
    assert "Keep them" in page
    assert kept(office, page) == "/plan"
    world = gather(joinery.store, NOW).world
    assert world.jobs[day.elm["job"]].must_keep
    assert [off.person for off in world.calendar.off] == [2]
    assert world.pools[1].owned[-1][1] == 16
    assert "look at it once more" in kept(office, page)


def test_a_bench_may_keep_a_pin_and_no_day_off(bare_app: Flask, joinery: Joinery, day: BusyDay) -> None:
    """Nobody said who they are: a day off asks them to; a pin does not."""
    client = bare_app.test_client()
    pin = client.get(f"/plan/what-if?c=pin.{day.hall['put together']}.2026-12-01.all").text
    assert kept(client, pin) == "/plan"
    assert list(gather(joinery.store, NOW).world.pins) == [day.hall["put together"]]
    off = client.get("/plan/what-if?c=off.2.2026-11-26").text
    assert "Say who you are first" in kept(client, off)
    assert gather(joinery.store, NOW).world.calendar.off == ()


def test_somebody_more_is_only_to_try(client: FlaskClient, day: BusyDay) -> None:
    page = client.get("/plan/what-if?c=one.2026-11-26.2026-11-26").text
    assert "to try only" in page
    assert "/plan/what-if/keep" not in page
    assert "Forget it" in page


@pytest.mark.parametrize(
    ("query", "field", "words"),
    [
        ("add=off&off_person=1", "off_on", "The day is missing."),
        ("add=off&off_on=2026-11-01", "off_on", "That day is over."),
        ("add=more&more_on=2026-11-26&more_opens=18:00&more_closes=17:00", "more_closes", "It ends before"),
        ("add=clamps&clamps_pool=9&clamps_count=4", "clamps_pool", "choose again"),
        ("add=clamps&clamps_pool=1&clamps_count=lots", "clamps_count", "must be a whole number"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_with_what_was_typed(
    client: FlaskClient, day: BusyDay, query: str, field: str, words: str
) -> None:
    answer = client.get(f"/plan/what-if?c=first.1&{query}")
    assert answer.status_code == 400
    assert re.search(rf'id="wrong-{field}">[^<]*{words}', answer.text)
    assert "comes first" in answer.text


@pytest.mark.parametrize(
    "said", ["rubbish", "off.99.2026-11-26", "off.1.2026-11-01", "pin.9999.2026-12-01.all"]
)
def test_a_change_that_can_not_be_is_left_out_and_said(client: FlaskClient, day: BusyDay, said: str) -> None:
    answer = client.get(f"/plan/what-if?c={said}&c=first.1")
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert "comes first" in answer.text


def test_a_shop_without_jobs_clamps_or_stages_offers_what_there_is(bare: FlaskClient) -> None:
    page = bare.get("/plan/what-if", follow_redirects=True)
    assert page.status_code == 200
    assert 'id="if-off"' in page.text
    for absent in ("if-clamps", "if-first", "if-pin"):
        assert f'id="{absent}"' not in page.text


def test_a_form_that_was_tampered_with_is_refused(office: FlaskClient, day: BusyDay) -> None:
    answer = office.post("/plan/what-if/keep", data={"c": ["first.1"], "head": "x"}, headers=ORIGIN)
    assert answer.status_code == 400
