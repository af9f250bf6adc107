"""The Bench's pages and plain forms, by Flask's own client on a real database file."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict

from shoptrack.config import Config
from shoptrack.errors import BadInput
from shoptrack.flows.in_hand import Tape
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from shoptrack.store.db import Store
from shoptrack.store.tables import PoolCountRow, PoolRow, StageClampRow, StageRow, TallyRow
from shoptrack.web import create_app
from shoptrack.web.bench_forms import read_form, read_when
from shoptrack.web.bench_words import line_for_tape
from shoptrack.web.render import Wall
from tests.flows.conftest import make_store

NOW = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
ORIGIN = {"Origin": "http://localhost"}


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Store]:
    store = make_store(tmp_path / "shop.db")
    yield store
    store.close()


@pytest.fixture
def client(shop: Store, tmp_path: Path) -> FlaskClient:
    app = create_app(shop, Config(instance=tmp_path, database_url=f"sqlite:///{tmp_path / 'shop.db'}"))
    app.config.update(TESTING=True, NOW=lambda: NOW)
    return app.test_client()


def kinds(shop: Store) -> list[str]:
    with shop.reading() as session:
        return [e.kind for e in log.whole_log(session)]


def form(**said: str) -> dict[str, str]:
    return {"id": "a-form-of-ben", "kind": "start", "person": "2", "stage": "11", **said}


def test_a_form_is_a_tap_and_leads_back_to_the_bench(client: FlaskClient, shop: Store) -> None:
    answer = client.post("/bench/tap", data=form(), headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/bench/2")
    assert kinds(shop) == ["start"]


def test_the_same_form_sent_twice_is_one_tap(client: FlaskClient, shop: Store) -> None:
    for _ in range(2):
        assert client.post("/bench/tap", data=form(), headers=ORIGIN).status_code == 303
    assert kinds(shop) == ["start"]


def test_every_button_of_a_page_has_an_id_of_its_own(client: FlaskClient) -> None:
    pages = [client.get("/bench/2").text for _ in range(2)]
    ids = [id for page in pages for id in re.findall(r'name="id" value="(\w+)"', page)]
    assert len(ids) > 20
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("back", ["//elsewhere.test/", "https://elsewhere.test/", "/\\elsewhere.test"])
def test_a_form_leads_back_to_no_other_place(client: FlaskClient, back: str) -> None:
    answer = client.post("/bench/tap", data=form(back=back), headers=ORIGIN)
    assert answer.status_code == 400


def test_a_foreign_page_can_tap_nothing(client: FlaskClient, shop: Store) -> None:
    answer = client.post("/bench/tap", data=form(), headers={"Origin": "http://elsewhere.test"})
    assert answer.status_code == 403
    assert kinds(shop) == []


def test_a_tap_that_is_set_aside_says_why(client: FlaskClient, shop: Store) -> None:
    answer = client.post("/bench/tap", data=form(kind="polish"), headers=ORIGIN)
    assert answer.status_code == 409
    assert "is no kind of tap" in answer.text
    assert kinds(shop) == []


@pytest.mark.parametrize(
    ("field", "value"), [("person", "Ben"), ("stage", "-1"), ("count", "many"), ("when", "yesterday")]
)
def test_what_is_no_number_is_said_in_one_sentence(client: FlaskClient, field: str, value: str) -> None:
    answer = client.post("/bench/tap", data=form(**{field: value}), headers=ORIGIN)
    assert answer.status_code == 400
    assert "Traceback" not in answer.text


def test_the_page_is_unchanged_until_somebody_taps_or_a_minute_passes(client: FlaskClient) -> None:
    first = client.get("/bench/2")
    tag = {"If-None-Match": first.headers["ETag"]}
    assert client.get("/bench/2", headers=tag).status_code == 304
    client.post("/bench/tap", data=form(), headers=ORIGIN)
    assert client.get("/bench/2", headers=tag).status_code == 200
    assert first.headers["Cache-Control"] == "no-store"


def test_an_unknown_person_is_not_here(client: FlaskClient) -> None:
    assert client.get("/bench/99").status_code == 404


def test_when_is_minutes_or_an_instant_and_never_ahead() -> None:
    assert read_when("", NOW) == 0
    assert read_when("30", NOW) == 30
    assert read_when("2025-03-04T12:00:00+00:00", NOW) == 120
    assert read_when("2025-03-04T15:00:00+00:00", NOW) == 0
    with pytest.raises(BadInput):
        read_when("-5", NOW)


def test_a_form_says_numbers_ticks_money_and_several_stages() -> None:
    """7 by the number button beats the field; 12.50 is 1250 cents; a stage ticked twice is one."""
    sent = MultiDict({"id": "12345678", "kind": "closed", "person": "2", "count": "5", "count_is": "7"})
    sent.update({"cost": "12.50", "insisted": "on", "text": "", "stage": ["3", "4", "3"]})
    said = read_form(sent, NOW, "USD", "C")
    assert said["stages"] == (3, 4)
    assert (said["count"], said["cents"], said["insisted"]) == (7, 1250, True)
    assert "text" not in said


def test_the_line_for_the_tape_names_other_days() -> None:
    """Off today at 14:10, flattening on Thursday at 8: days by name, as tape is read on other days."""
    tape = (Tape("off", NOW + timedelta(minutes=10)), Tape("flattening", datetime(2025, 3, 6, 8, tzinfo=UTC)))
    assert line_for_tape("K7", tape, NOW, Wall(zone="UTC")) == "K7 off 14:10 · flattening Thu 8:00"
    assert line_for_tape("K7", (), NOW, Wall(zone="UTC")) == ""


def test_the_spare_pages_hold_every_stage_on_offer(client: FlaskClient, shop: Store) -> None:
    spare = client.get("/bench/2/spare").text
    for stage in gather(shop, NOW).world.stages:
        assert f'<template data-hand="{stage}">' in spare
    assert '<template data-hand="shop">' in spare


def test_clamps_and_settings_stand_there_before_the_start(client: FlaskClient, shop: Store) -> None:
    """What is set out before the glue is spread: shown with the stage on offer, as it is with it in hand.

    The plan gives that stage to Ann, who is person 1.
    """
    assert "<dt>clamps</dt>" not in client.get("/bench/1").text
    with shop.writing() as session:
        session.add(PoolRow(id=70, name="long bar", reach_mm=900))
        session.flush()
        session.add(PoolCountRow(pool_id=70, from_at=NOW - timedelta(days=9), owned=6))
        session.add(StageClampRow(stage_id=11, pool_id=70, count=4))
        session.get_one(StageRow, 11).settings = "cauls waxed\nbars level"
    page = client.get("/bench/1").text
    assert "<dt>clamps</dt><dd>4 × long bar</dd>" in re.sub(r"\s*\n\s*", "", page)
    assert "cauls waxed · bars level" in page


def test_the_plan_gives_each_another_stage_and_says_why(client: FlaskClient) -> None:
    """Two jobs of the same stages: Ann begins one, Ben the other; what is the other's comes last."""
    pages = [re.sub(r"<[^>]+>", " ", client.get(f"/bench/{person}").text) for person in (1, 2)]
    first = [re.search(r"next\s+(K7|M3)\s+stage 1", page) for page in pages]
    assert {found[1] for found in first if found} == {"K7", "M3"}
    for page in pages:
        assert "left until tomorrow morning it costs" in page or "blocks nothing: free choice" in page


def test_without_a_plan_what_was_promised_first_leads(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No plan could be made: both are offered the first stage of the first job, without a reason."""
    monkeypatch.setattr("shoptrack.flows.planning.plan.check", lambda problem, plan: ("It breaks a rule.",))
    for person in (1, 2):
        page = re.sub(r"<[^>]+>", " ", client.get(f"/bench/{person}").text)
        assert re.search(r"next\s+K7\s+stage 1", page)
        assert "costs" not in page


def test_that_was_ann_without_scripts(client: FlaskClient, shop: Store) -> None:
    client.post("/bench/tap", data=form(), headers=ORIGIN)
    answer = client.post(
        "/bench/was", data={"id": "given-1234", "of": "a-form-of-ben", "was": "1"}, headers=ORIGIN
    )
    assert answer.headers["Location"] == "/bench/1"
    assert kinds(shop) == ["start", "start", "strike"]
    assert "Ann: done" in re.sub(r"<[^>]+>", "", client.get("/bench/1").text)


def test_done_with_less_than_planned_confirms_the_measure(client: FlaskClient, shop: Store) -> None:
    """18 of 20: the page of a stage in hand asks how many, and the finish carries it."""
    client.post("/bench/tap", data=form(), headers=ORIGIN)
    assert "Done, not all" in client.get("/bench/2").text
    done = form(id="a-form-of-done", kind="finish", count="18")
    client.post("/bench/tap", data=done, headers=ORIGIN)
    with shop.reading() as session:
        row = session.get_one(TallyRow, (11, 0))
    assert (row.standing, row.quantity) == ("done", 18)


def test_what_is_read_off_the_wall_is_logged(client: FlaskClient, shop: Store) -> None:
    """The thermometer and a count of clamps, none of them left: both are in the log as they were meant."""
    page = client.get("/bench/2").text
    assert "Thermometer and clamps on the wall" in page
    for said in (
        {"id": "a-form-of-warm", "kind": "temperature", "person": "2", "room": "1", "warmth": "59"},
        {"id": "a-form-of-wall", "kind": "recount", "person": "2", "pool": "1", "count": "0"},
    ):
        assert client.post("/bench/tap", data=said, headers=ORIGIN).status_code == 303
    with shop.reading() as session:
        warm, wall = log.whole_log(session)
    assert (warm.room, warm.value_c) == (1, 15.0)
    assert (wall.pool, wall.count) == (1, 0)
    assert gather(shop, NOW).replayed.free_clamps == {1: 0}


def test_the_bench_says_first_what_the_floor_says(client: FlaskClient, shop: Store) -> None:
    """Two stretches on one stage: both pages have all of it against the usual; the Bench then this one."""
    for n, (kind, ago) in enumerate((("start", "60"), ("pause", "35"), ("start", "10"))):
        said = form(id=f"stretch-{n}", kind=kind, when=ago)
        assert client.post("/bench/tap", data=said, headers=ORIGIN).status_code == 303
    told = re.findall(
        r"(\d[^<·,]*?) · usual (\d[^<·,]*?) *<", client.get("/bench/2").text.replace("</b>", "")
    )
    floor = re.findall(r"(\d[^<·,>]*?) · usual (\d[^<·,]*?) *<", client.get("/").text)
    assert told[0][0].strip() == "35\xa0min"
    assert tuple(w.strip() for w in told[0]) in [tuple(w.strip() for w in each) for each in floor]
    assert "this stretch 10\xa0min, since" in client.get("/bench/2").text
