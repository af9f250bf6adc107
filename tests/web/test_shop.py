"""The Shop screens: the parts list, and things that are added, changed, put in order and retired."""

import re
from datetime import timedelta

import pytest
from flask.testing import FlaskClient

from shoptrack.config import Config
from shoptrack.store import backup, pins
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.shop import list_people, shop_row
from shoptrack.store.skills import never_of
from shoptrack.store.tables import (
    PersonRow,
)
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

ITSELF = {
    "name": "Sedge Lane Joinery",
    "zone": "America/New_York",
    "length_unit": "in",
    "temperature_unit": "F",
    "currency": "usd",
    "clock": "24",
}
EVERYWHERE = (
    "/shop",
    "/shop/itself",
    "/shop/people",
    "/shop/rooms",
    "/shop/stations",
    "/shop/clamps",
    "/shop/tools",
    "/shop/materials",
    "/shop/recipes",
    "/shop/kinds",
    "/shop/hours",
    "/shop/days-off",
    "/shop/overtime",
    "/shop/holidays",
    "/shop/rates",
    "/shop/hour-cost",
    "/shop/terms",
    "/shop/history",
)


def test_the_parts_list_tells_what_is_in_each_part(office: FlaskClient) -> None:
    words = text_of(office.get("/shop").text)
    for said in (
        "The shop itself Sedge Lane Joinery, America/New York, inches",
        "People 2 Una, Piet",
        "Working hours Mon–Fri 8:00–12:00, 12:30–17:00; Sat–Sun no work",
        "Clamps 1 600 mm",
        "Kinds of stage 5 milling, glue-up, carving, inlay, finishing",
    ):
        assert said in words


def test_the_parts_list_links_only_to_what_is_there(office: FlaskClient) -> None:
    paths = re.findall(r'<th scope="row"><a href="([^"]+)"', office.get("/shop").text)
    assert len(paths) >= 15
    assert [p for p in paths if office.get(p, follow_redirects=True).status_code != 200] == []


@pytest.mark.parametrize("path", EVERYWHERE)
def test_the_shop_screens_are_for_the_office(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("/office?")


def test_people_are_added_once_renamed_and_put_in_order(office: FlaskClient, store_of: Store) -> None:
    for _ in range(2):
        assert post(office, "/shop/people", name=" Ivo  Tarn ")[0] == 303
    assert post(office, "/shop/people/3", name="Ivo")[0] == 303
    for _ in range(2):
        assert post(office, "/shop/people/3/place", place="1")[0] == 303
    with store_of.reading() as session:
        assert [p.name for p in list_people(session)] == ["Ivo", "Una", "Piet"]
        lines = [(x.field, x.before, x.after, x.person_id) for x in history(session, "people", 3)]
    assert lines == [
        ("made", None, True, UNA),
        ("name", "Ivo Tarn", "Ivo", UNA),
        ("position", 3, 1, UNA),
    ]


def test_what_is_not_a_persons_to_do_is_ticked(office: FlaskClient, store_of: Store) -> None:
    """Piet does no milling and no carving; then he mills again; a new one starts with a tick."""
    sent = {"name": "Piet", "never-1": "yes", "never-3": "yes", "never-99": "yes"}
    for _ in range(2):
        assert post(office, f"/shop/people/{PIET}", **sent)[0] == 303
    page = office.get(f"/shop/people/{PIET}").text
    assert re.findall(r'name="(never-\d+)" value="yes" checked', page) == ["never-1", "never-3"]
    assert text_of(page).count("does not do nothing → carving, milling") == 1
    assert "Piet the shop’s hours, does not do carving, milling" in text_of(office.get("/shop/people").text)
    post(office, f"/shop/people/{PIET}", name="Piet", **{"never-3": "yes"})
    post(office, "/shop/people", name="Ivo", **{"never-2": "yes"})
    with store_of.reading() as session:
        assert [never_of(session, person) for person in (UNA, PIET, 3)] == [set(), {3}, {2}]
    assert re.search(r'name="never-3" value="yes" checked', wrong_page(office, name="", **{"never-3": "yes"}))


def wrong_page(office: FlaskClient, **fields: str) -> str:
    status, page = post(office, f"/shop/people/{PIET}", **fields)
    assert status == 400
    return page


def test_a_retired_kind_stays_ticked_where_it_was(office: FlaskClient, store_of: Store) -> None:
    post(office, f"/shop/people/{PIET}", name="Piet", **{"never-3": "yes"})
    post(office, "/shop/kinds/3/retired", retired="yes", sure="yes")
    assert 'name="never-3" value="yes" checked' in office.get(f"/shop/people/{PIET}").text
    assert "never-3" not in office.get(f"/shop/people/{UNA}").text


def test_a_name_that_is_taken_or_missing_is_said_beside_the_field(office: FlaskClient) -> None:
    assert wrong(office, "/shop/people", name="una") == "There is a “Una” already."
    assert wrong(office, "/shop/people/2", name="Una") == "There is a “Una” already."
    assert wrong(office, "/shop/people", name="  ") == "The name is missing."
    post(office, "/shop/people/2/retired", retired="yes")
    assert "bring it back" in wrong(office, "/shop/people", name="Piet")


def test_what_is_in_use_is_asked_about_once_more(office: FlaskClient, day: BusyDay) -> None:
    """The router: planned in the trays and their pattern."""
    status, page = post(office, "/shop/stations/1/retired", retired="yes")
    words = text_of(page)
    assert status == 200
    assert "router is still used. Retire it all the same?" in words
    assert "job" in words
    assert "six trays, elm" in words
    assert "pattern tray" in words
    assert "Retired" not in text_of(office.get("/shop/stations/1").text)
    for _ in range(2):
        assert post(office, "/shop/stations/1/retired", retired="yes", sure="yes")[0] == 303
    assert "Retired 13:24" in text_of(office.get("/shop/stations/1").text)
    assert "None yet." in office.get("/shop/stations").text
    assert post(office, "/shop/stations/1/retired", retired="no")[0] == 303
    assert "None yet." not in office.get("/shop/stations").text
    words = text_of(office.get("/shop/stations/1").text)
    assert words.count("Una brought back") == words.count("Una retired") == 1


def test_a_retired_thing_stays_on_old_jobs(office: FlaskClient, day: BusyDay) -> None:
    before = text_of(office.get(f"/jobs/{day.elm['job']}").text)
    post(office, "/shop/stations/1/retired", retired="yes", sure="yes")
    post(office, "/shop/recipes/1/retired", retired="yes", sure="yes")
    assert text_of(office.get(f"/jobs/{day.elm['job']}").text) == before


def test_whoever_has_work_in_hand_is_asked_about(office: FlaskClient, day: BusyDay) -> None:
    page = post(office, "/shop/people/1/retired", retired="yes")[1]
    assert "Una has work in hand. Retire Una all the same?" in page
    assert "hall door, ash" in page


def test_somebody_must_be_left(office: FlaskClient, joinery: Joinery) -> None:
    post(office, f"/shop/people/{PIET}/retired", retired="yes")
    status, page = post(office, f"/shop/people/{UNA}/retired", retired="yes")
    assert status == 400
    assert "Somebody must be left" in page


def test_the_shop_itself(office: FlaskClient, store_of: Store) -> None:
    sent = {**ITSELF, "name": "Reed & Co <script>", "length_unit": "mm", "clock": "12", "currency": "eur"}
    assert post(office, "/shop/itself", **sent)[0] == 303
    with store_of.reading() as session:
        row = shop_row(session)
        assert (row.length_unit, row.clock_24h, row.currency) == ("mm", False, "EUR")
    page = office.get("/shop/itself").text
    assert "<script>" not in page
    assert "length unit in → mm" in text_of(page)
    assert "chance of a quote that is out" not in text_of(page), "said nothing, as before"
    assert "three letters" in wrong(office, "/shop/itself", **{**ITSELF, "currency": "dollars"})
    assert "can’t be that" in wrong(office, "/shop/itself", **{**ITSELF, "zone": "Mars/Base"})


def test_quotes_that_are_out_count_only_where_that_is_said(office: FlaskClient, store_of: Store) -> None:
    """Of 100 quotes that are out 37.5 are taken, none, or nobody says: then no promise counts them."""
    for typed, kept in (("37.5", 3750), ("0", 0), ("100", 10_000), ("", None)):
        assert post(office, "/shop/itself", **ITSELF, weigh_quotes=typed)[0] == 303
        with store_of.reading() as session:
            assert shop_row(session).weigh_quotes_bp == kept
        assert f'name="weigh_quotes" type="text" value="{typed}"' in office.get("/shop/itself").text
    words = text_of(office.get("/shop/itself").text)
    assert "chance of a quote that is out not counted → 37.5 %" in words
    assert "chance of a quote that is out 100 % → not counted" in words
    for typed in ("100.01", "-1", "many", "1/3"):
        assert wrong(office, "/shop/itself", **ITSELF, weigh_quotes=typed)


def test_history_by_topic_and_page(office: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shoptrack.web.shop.history.A_PAGE", 5)
    for n in range(8):
        post(office, "/shop/people/2", name=f"Piet {n}")
    post(office, "/shop/clamps", name="long bars", reach="50", owned="4")
    words = text_of(office.get("/shop/history").text)
    assert "Una clamps long bars : owned nothing → 4" in words
    assert "people Piet 7 : name Piet 6 → Piet 7" in words
    assert "earlier ones" in words
    second = text_of(office.get("/shop/history?page=2").text)
    assert "name Piet → Piet 0" in second
    only = text_of(office.get("/shop/history?thing=clamps").text)
    assert "long bars : added" in only
    assert "Piet 7" not in only
    assert office.get("/shop/history?thing=nothing%20such").status_code == 200
    assert office.get("/shop/history?page=0").status_code == 400


@pytest.mark.parametrize("what", ["people", "rooms", "stations", "clamps", "tools", "materials", "recipes"])
def test_what_is_not_there(office: FlaskClient, what: str) -> None:
    assert office.get(f"/shop/{what}/99").status_code == 404
    assert post(office, f"/shop/{what}/99", name="x")[0] in (400, 404)
    assert post(office, f"/shop/{what}/99/retired", retired="yes")[0] == 404
    assert office.get(f"/shop/{what}/x").status_code == 404


def test_a_persons_page_leads_to_their_hours(office: FlaskClient, store_of: Store) -> None:
    page = office.get("/shop/people/1").text
    assert 'href="/shop/hours/1"' in page
    assert ("/office/pin?person=1" in page) == (office.get("/office/pin?person=1").status_code != 404)
    with store_of.reading() as session:
        assert session.get_one(PersonRow, 1).name in page


def test_the_parts_list_tells_who_has_a_pin_and_how_old_the_backup_is(
    office: FlaskClient, store_of: Store, config: Config
) -> None:
    """Nobody and none at first; then Una has a PIN, and a backup is three hours old."""
    words = text_of(office.get("/shop").text)
    assert "nobody has one, so the office asks for none" in words
    assert "none yet; one is made each day" in words
    with store_of.writing() as session:
        pins.put(session, UNA, "aa" * 16, pins.derive("4711", "aa" * 16), NOW)
    backup.make(store_of.path, config.instance, NOW - timedelta(hours=3))
    office.post("/office", data={"person": str(UNA), "pin": "4711"}, headers={"Origin": "http://localhost"})
    page = office.get("/shop").text
    assert "PINs 1 Una" in text_of(page)
    assert "Backups 1 last good one 3 h ago" in text_of(page)
    assert 'href="/office/pin"' in page
    people = office.get("/shop/people").text
    assert 'href="/office/pin"' in people
    assert text_of(people).count("has a PIN") == 1
    assert "4711" not in page + people


def test_what_uses_a_thing_is_a_link(office: FlaskClient, day: BusyDay) -> None:
    page = office.get("/shop/clamps/1").text
    links = re.findall(r'<li>(job|pattern|station|tool) <a href="([^"]+)"', page)
    assert {what for what, _ in links} == {"job", "pattern"}
    assert [path for _, path in links if office.get(path).status_code != 200] == []
