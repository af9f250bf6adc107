"""The door of the office: a name is tapped, a PIN typed where there is one, and the device works in it."""

import re
from datetime import timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from shoptrack.store.db import Store
from shoptrack.store.tables import PersonRow
from shoptrack.web.rights import AT_THE_DOOR, least_kind
from tests.joinery import NOW, PIET, UNA, Joinery
from tests.web.conftest import ORIGIN


def post(client: FlaskClient, path: str, **data: object) -> TestResponse:
    return client.post(path, data={k: str(v) for k, v in data.items()}, headers=ORIGIN)


@pytest.fixture
def locked(office: FlaskClient) -> FlaskClient:
    """Una in the office, with a PIN; Piet has none."""
    assert post(office, "/office/pin", person=UNA, pin="2468", again="2468").status_code == 303
    return office


def is_in(client: FlaskClient) -> bool:
    return client.get("/office/pin").status_code == 200


def test_a_name_is_tapped_and_the_page_asked_for_is_shown(client: FlaskClient) -> None:
    page = client.get("/office?back=/jobs/new").text
    assert "Who is it?" in page
    answer = post(client, "/office", person=UNA, back="/jobs/new")
    assert (answer.status_code, answer.location) == (303, "/jobs/new")
    assert is_in(client)
    assert post(client, "/office/leave").status_code == 303
    assert not is_in(client)
    with client.session_transaction() as kept:
        assert "person" not in kept


def test_the_title_block_says_whose_office_it_is(client: FlaskClient) -> None:
    """Una works in the office: its pages say so, with the way out; the Floor does not."""
    said, way_out = '<span class="value">Una</span>', 'action="/office/leave"'
    assert way_out not in client.get("/jobs").text
    post(client, "/office", person=UNA, back="/")
    for path in ("/jobs", "/shop", "/customers"):
        page = client.get(path).text
        assert said in page, path
        assert way_out in page, path
    assert way_out not in client.get("/").text


def test_a_name_that_is_not_there_and_a_foreign_way_back_are_refused(client: FlaskClient) -> None:
    for person, back in (("99", "/"), ("", "/"), ("1", "//elsewhere.test/"), ("-1", "/"), ("😀", "/")):
        assert post(client, "/office", person=person, back=back).status_code == 400


def test_whoever_sets_the_first_pin_stays_inside_and_the_others_stay_out(
    locked: FlaskClient, bare_app: Flask
) -> None:
    assert is_in(locked)
    other = bare_app.test_client()
    page = other.get("/office").text
    assert re.search(r'value="2" disabled>Piet', page)
    assert post(other, "/office", person=PIET).status_code == 403
    assert post(other, "/office", person=PIET, pin="").status_code == 403
    assert not is_in(other)


def test_a_visit_from_before_the_first_pin_ends(office: FlaskClient, bare_app: Flask) -> None:
    """Piet was in the office on another device when Una set her PIN."""
    piet = bare_app.test_client()
    post(piet, "/office", person=PIET)
    assert is_in(piet)
    post(office, "/office/pin", person=UNA, pin="2468", again="2468")
    assert not is_in(piet)


def test_a_name_with_a_pin_asks_for_it(locked: FlaskClient, bare_app: Flask) -> None:
    client = bare_app.test_client()
    asked = post(client, "/office", person=UNA, back="/jobs/new")
    assert (asked.status_code, "Una’s PIN" in asked.text) == (200, True)
    assert 'value="/jobs/new"' in asked.text
    wrong = post(client, "/office", person=UNA, pin="1357", back="/jobs/new")
    assert (wrong.status_code, "That is not the PIN." in wrong.text) == (400, True)
    assert "1357" not in wrong.text
    assert 'value="/jobs/new"' in wrong.text
    soon = post(client, "/office", person=UNA, pin="2468")
    assert (soon.status_code, "wait 1 s" in soon.text) == (403, True)
    bare_app.config["NOW"] = lambda: NOW + timedelta(seconds=1)
    right = post(client, "/office", person=UNA, pin="2468", back="/jobs/new")
    assert (right.status_code, right.location) == (303, "/jobs/new")
    assert is_in(client)


def test_a_visit_lasts_twelve_hours(locked: FlaskClient, bare_app: Flask) -> None:
    bare_app.config["NOW"] = lambda: NOW + timedelta(hours=11, minutes=59)
    assert is_in(locked)
    bare_app.config["NOW"] = lambda: NOW + timedelta(hours=12)
    assert not is_in(locked)


def test_a_visit_ends_when_the_pin_changes(locked: FlaskClient, bare_app: Flask) -> None:
    """Una forgot to leave the office on a tablet, and changes her PIN at the desk."""
    tablet = bare_app.test_client()
    post(tablet, "/office", person=UNA, pin="2468")
    assert is_in(tablet)
    bare_app.config["NOW"] = lambda: NOW + timedelta(minutes=1)
    changed = post(locked, "/office/pin", person=UNA, proof="2468", pin="135790", again="135790")
    assert changed.status_code == 303
    assert is_in(locked)
    assert not is_in(tablet)


def test_a_visit_ends_when_the_person_goes(locked: FlaskClient, bare_store: Store) -> None:
    """And with her goes the only PIN: the office is open to the others again."""
    with bare_store.writing() as session:
        una = session.get(PersonRow, UNA)
        assert una is not None
        una.retired_at = NOW
    assert locked.get("/office/pin").status_code == 200  # Piet alone is left, and needs no tapping
    with locked.session_transaction() as kept:
        assert kept["person"] == PIET


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"pin": "123", "again": "123"}, "A PIN is 4 to 12 figures."),
        ({"pin": "1234567890123", "again": "1234567890123"}, "A PIN is 4 to 12 figures."),
        ({"pin": "12a4", "again": "12a4"}, "A PIN is 4 to 12 figures."),
        ({"pin": "١٢٣٤", "again": "١٢٣٤"}, "A PIN is 4 to 12 figures."),
        ({"pin": "", "again": ""}, "A PIN is 4 to 12 figures."),
        ({"pin": "1234", "again": "1243"}, "The two are not the same."),
        ({"pin": "1234", "again": "1234", "proof": "0000"}, "That is not the PIN."),
        (
            {"pin": "1234", "again": "1234", "person": "99", "proof": "2468"},
            "Nobody of that name works here.",
        ),
        ({"remove": "yes", "proof": ""}, "You have a PIN: type it first."),
    ],
)
def test_a_pin_that_can_not_be_taken_is_said_in_one_sentence(
    locked: FlaskClient, said: dict[str, str], words: str
) -> None:
    answer = post(locked, "/office/pin", **{"person": UNA, "proof": "2468", **said})
    assert answer.status_code in (400, 403)
    assert words in answer.text
    assert is_in(locked)


def test_somebody_with_a_pin_gives_another_one_and_takes_it_away(
    locked: FlaskClient, bare_app: Flask
) -> None:
    assert post(locked, "/office/pin", person=PIET, proof="2468", pin="1111", again="1111").status_code == 303
    piet = bare_app.test_client()
    assert post(piet, "/office", person=PIET, pin="1111").status_code == 303
    assert is_in(piet)
    assert post(locked, "/office/pin", person=PIET, proof="2468", remove="yes").status_code == 303
    assert not is_in(piet)


def test_somebody_without_a_pin_gives_none_to_others(office: FlaskClient) -> None:
    """Else one tap would lock the others in and oneself out."""
    answer = post(office, "/office/pin", person=PIET, pin="1111", again="1111")
    assert (answer.status_code, "Set a PIN of your own first" in answer.text) == (403, True)


def test_the_last_pin_taken_away_opens_the_office(locked: FlaskClient, bare_app: Flask) -> None:
    assert post(locked, "/office/pin", person=UNA, proof="2468", remove="yes").status_code == 303
    assert is_in(locked)
    assert post(bare_app.test_client(), "/office", person=PIET).status_code == 303


def test_a_pin_guards_no_tap_no_floor_and_no_bench(
    joinery: Joinery, locked: FlaskClient, bare_app: Flask
) -> None:
    job = joinery.add("tray", "a tray", None)
    client = bare_app.test_client()
    for path in ("/", "/bench", "/bench/2", "/jobs", f"/jobs/{job['job']}"):
        assert client.get(path).status_code == 200, path
    tap = {"id": "a-tap-of-piet", "kind": "start", "person": PIET, "stage": job["milling"]}
    assert post(client, "/bench/tap", **tap).status_code == 303


def test_money_is_hidden_before_the_locked_door(
    joinery: Joinery, locked: FlaskClient, bare_app: Flask, bare_store: Store
) -> None:
    job = joinery.add("tray", "a tray", None)["job"]
    with bare_store.writing() as session:
        session.connection().exec_driver_sql("UPDATE jobs SET price_cents = 123400")
    assert "1,234" in locked.get(f"/jobs/{job}").text
    assert "1,234" not in bare_app.test_client().get(f"/jobs/{job}").text


def test_behind_a_pin_every_page_of_the_office_asks_for_it(locked: FlaskClient, bare_app: Flask) -> None:
    """Each that can be opened without a number in its address, also one whose own view forgot to ask."""
    stranger, opened = bare_app.test_client(), {}
    for rule in bare_app.url_map.iter_rules():
        if least_kind(rule.endpoint) == "office" and not rule.arguments and rule.endpoint not in AT_THE_DOOR:
            method = "GET" if "GET" in (rule.methods or ()) else "POST"
            answer = stranger.open(rule.rule, method=method, headers=ORIGIN)
            asked = answer.status_code == 303 and answer.location.startswith("/office?back=")
            opened[rule.rule] = not (asked if method == "GET" else answer.status_code == 403)
    assert len(opened) > 20
    assert [rule for rule, is_open in opened.items() if is_open] == []
