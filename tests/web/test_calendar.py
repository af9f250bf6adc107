"""The calendar's page and feed: an address nobody can guess, without a cookie, ended by a new one."""

import re
from dataclasses import replace

import icalendar
import pytest
import vobject
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.config import Config
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store
from shoptrack.web import create_app
from tests.joinery import NOW, BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of

ADDRESS = re.compile(r'href="http://localhost(/calendar/[A-Za-z0-9_-]{32}\.ics)"')


def renew(office: FlaskClient) -> str:
    """Make the address, or a new one, as the page does; gives its path."""
    page = office.get("/calendar/renew").text
    (of,) = re.findall(r'name="of" value="([^"]+)"', page)
    answer = office.post("/calendar/renew", data={"of": of}, headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/calendar")
    return shown(office)


def shown(office: FlaskClient) -> str:
    (path,) = ADDRESS.findall(office.get("/calendar").text)
    return str(path)


@pytest.fixture
def stranger(bare_app: Flask, joinery: Joinery) -> FlaskClient:
    """A phone that was never paired and keeps no cookies."""
    return bare_app.test_client(use_cookies=False)


def test_there_is_no_feed_until_its_address_is_made(office: FlaskClient) -> None:
    page = office.get("/calendar")
    assert "has no address yet" in page.text
    assert not ADDRESS.search(page.text)
    assert office.get("/calendar/code.svg").status_code == 404
    assert office.get("/calendar/None.ics").status_code == 404
    (of,) = re.findall(r'name="of" value="([^"]+)"', page.text)
    office.post("/calendar/renew", data={"of": of}, headers=ORIGIN)
    assert office.get(shown(office)).status_code == 200


def test_the_feed_needs_no_cookie_and_two_readers_read_it(
    office: FlaskClient, stranger: FlaskClient, day: BusyDay
) -> None:
    answer = stranger.get(renew(office))
    assert answer.status_code == 200
    assert answer.content_type == "text/calendar; charset=utf-8"
    assert "private" in answer.headers["Cache-Control"]
    assert "Set-Cookie" not in answer.headers
    ours = icalendar.Calendar.from_ical(answer.data)
    starts = {str(e["summary"]): e["dtstart"].dt for e in ours.walk("VEVENT")}
    (clamps,) = [when for words, when in starts.items() if words.endswith("glue-up: clamps may come off")]
    assert clamps == at("13:48")
    others = {e.summary.value: e.dtstart.value for e in vobject.readOne(answer.text).vevent_list}
    assert others == starts


def test_no_customer_no_price_no_title_leaves_the_shop(office: FlaskClient, day: BusyDay) -> None:
    text = office.get(renew(office)).text.replace("\r\n ", "")
    assert "BEGIN:VEVENT" in text
    for secret in ("Odile", "Marr", "six trays, elm", "elm", "hall door", "USD", "Una", "Piet"):
        assert secret not in text, secret


def test_a_wrong_address_is_not_there(office: FlaskClient, stranger: FlaskClient) -> None:
    path = renew(office)
    for wrong in (path.replace(".ics", "x.ics"), "/calendar/x.ics", "/calendar/.ics", "/calendar/%00.ics",
                  path.swapcase(), path.removesuffix(".ics"), "/calendar/" + "🪚" * 32 + ".ics"):  # fmt: skip
        assert stranger.get(wrong).status_code == 404, wrong


def test_a_new_address_ends_the_old_at_once(office: FlaskClient, stranger: FlaskClient) -> None:
    old = renew(office)
    new = renew(office)
    assert new != old
    assert (stranger.get(old).status_code, stranger.get(new).status_code) == (404, 200)


def test_a_double_tap_renews_once(office: FlaskClient) -> None:
    """Two tabs, or two taps: the second speaks of an address that is no more."""
    renew(office)
    (of,) = re.findall(r'name="of" value="([^"]+)"', office.get("/calendar/renew").text)
    office.post("/calendar/renew", data={"of": of}, headers=ORIGIN)
    once = shown(office)
    assert office.post("/calendar/renew", data={"of": of}, headers=ORIGIN).status_code == 303
    office.post("/calendar/renew", headers=ORIGIN)
    assert shown(office) == once


def test_it_asks_once_more_and_looking_changes_nothing(office: FlaskClient) -> None:
    path = renew(office)
    assert "The old one ends at once" in office.get("/calendar/renew").text
    assert shown(office) == path


def test_equal_state_gives_equal_bytes_and_is_sent_once(
    office: FlaskClient, bare_app: Flask, joinery: Joinery, day: BusyDay
) -> None:
    path = renew(office)
    first = office.get(path)
    bare_app.config["NOW"] = lambda: NOW.replace(hour=21)
    assert office.get(path).data == first.data
    same = office.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (same.status_code, same.data) == (304, b"")
    joinery.tap("tended", at("13:30"), day.elm["glue-up"], choice="scrape")
    assert office.get(path, headers={"If-None-Match": first.headers["ETag"]}).status_code == 200


def test_the_page_is_for_the_office(client: FlaskClient) -> None:
    for path in ("/calendar", "/calendar/code.svg", "/calendar/renew"):
        answer = client.get(path)
        assert answer.status_code == 303, path
        assert answer.headers["Location"].startswith("/office")
    assert client.post("/calendar/renew", headers=ORIGIN).status_code == 403


def test_the_page_says_who_can_read_it_and_how_to_have_it(office: FlaskClient) -> None:
    path = renew(office)
    words = text_of(office.get("/calendar").text)
    assert "http://localhost" + path in words
    assert "Over plain http, anyone on the same Wi-Fi can read it" in words
    assert "works on this machine alone" in words
    assert "subscribe" in words
    assert office.get("/calendar/code.svg").content_type == "image/svg+xml"


def test_at_the_shops_own_address_nothing_is_said_of_this_machine(
    office: FlaskClient, bare_app: Flask
) -> None:
    bare_app.config["EXTRA_HOSTS"] = ("shop.test",)
    renew(office)
    theirs = {"base_url": "http://shop.test", "headers": {"Origin": "http://shop.test"}}
    office.post("/office", data={"person": "1"}, **theirs)
    page = office.get("/calendar", base_url="http://shop.test").text
    assert "works on this machine alone" not in page
    assert 'href="http://shop.test/calendar/' in page


def test_an_unpaired_phone_on_the_wifi_gets_the_feed_and_nothing_else(
    office: FlaskClient, bare_store: Store, config: Config
) -> None:
    """Under --lan every page wants a paired device; the feed's address is its own key."""
    path = renew(office)
    app = create_app(bare_store, replace(config, host="0.0.0.0"))
    app.config.update(NOW=lambda: NOW, REACH=Reach(("192.168.1.20",)))
    phone = app.test_client(use_cookies=False)
    there = {"base_url": "http://192.168.1.20:8750", "environ_base": {"REMOTE_ADDR": "192.168.1.31"}}
    assert phone.get(path, **there).status_code == 200
    for other in ("/calendar", "/calendar/code.svg", "/calendar/renew", "/curing", "/jobs/1/sheet", "/j/K7"):
        assert phone.get(other, **there).status_code == 403, other


def test_a_person_has_a_calendar_of_their_own(
    office: FlaskClient, stranger: FlaskClient, day: BusyDay
) -> None:
    """By the same secret: what is planned, said to be a plan, read alike by two readers."""
    path = renew(office)
    own_path = path.replace(".ics", "/1.ics")
    assert f'href="http://localhost{own_path}"' in office.get("/calendar").text
    answer = stranger.get(own_path)
    assert answer.status_code == 200
    ours = icalendar.Calendar.from_ical(answer.data)
    events = ours.walk("VEVENT")
    assert str(events[0]["summary"]).startswith("Plan: ")
    assert {str(e["status"]) for e in events} == {"TENTATIVE"}
    assert len(events) == len(vobject.readOne(answer.text).vevent_list)
    assert str(ours["name"]) == "Una’s plan · Sedge Lane Joinery"
    for secret in ("Odile", "six trays", "hall door"):
        assert secret not in answer.text


def test_a_persons_calendar_needs_the_secret_and_the_person(
    office: FlaskClient, stranger: FlaskClient, day: BusyDay
) -> None:
    path = renew(office)
    for wrong in ("/calendar/x/1.ics", path.replace(".ics", "/77.ics"), path.replace(".ics", "/x.ics")):
        assert stranger.get(wrong).status_code == 404, wrong
    old = path.replace(".ics", "/1.ics")
    renew(office)
    assert stranger.get(old).status_code == 404
