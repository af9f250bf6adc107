"""Edges on the Floor, on the Bench and before going: what is due, what is dull, and the caution beside it."""

from datetime import date, datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.flows.quoting import drafts
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.soon import CAUTION
from tests.flows.quoting.shop import price_all
from tests.flows.tooling.sharp import Planer, planer
from tests.joinery import UNA, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import count_queries, text_of


@pytest.fixture
def clock(bare_app: Flask) -> list[datetime]:
    """The pages' clock, to be moved."""
    times = [at("9:00")]
    bare_app.config["NOW"] = lambda: times[0]
    return times


@pytest.fixture
def knives(joinery: Joinery) -> Planer:
    """Knives with fourteen hours on them, of the twelve that they usually last; more to plane."""
    made = planer(joinery)
    for week in (4, 3, 2, 1):
        made.planed(210, week)
    made.to_plane(30, date(2026, 12, 20))
    return made


def words(client: FlaskClient, page: str) -> str:
    return " ".join(text_of(client.get(page).text).split())


def test_the_floor_says_what_is_due_and_changes_for_it(
    client: FlaskClient, knives: Planer, clock: list[datetime]
) -> None:
    before = client.get("/floor")
    assert "Edges" not in text_of(before.text)
    knives.dues(clock[0])
    after = client.get("/floor", headers={"If-None-Match": before.headers["ETag"]})
    assert after.status_code == 200
    said = " ".join(text_of(after.text).split())
    assert "that it is dull now ; if it is sharp, dull" in said
    assert "planer knives set A" in said
    assert "send it today" in said
    assert CAUTION in said


def test_what_is_far_from_dull_is_not_on_the_floor(
    client: FlaskClient, joinery: Joinery, clock: list[datetime]
) -> None:
    knives = planer(joinery, usual_life_h=200.0)
    knives.to_plane(30, date(2026, 12, 20))
    knives.dues(clock[0])
    assert CAUTION not in words(client, "/floor")


def test_the_floor_asks_no_more_of_the_database_for_it(
    client: FlaskClient, knives: Planer, clock: list[datetime]
) -> None:
    """What is kept beside the server is read from there: as many queries as without any edge due."""
    knives.dues(clock[0])
    asked = count_queries(knives.joinery.store)
    assert CAUTION in words(client, "/floor")
    assert len(asked) <= 8, asked


def test_the_bench_says_it_before_the_stage_and_one_tap_says_dull(
    client: FlaskClient, knives: Planer, clock: list[datetime]
) -> None:
    """Then it is not to be used, and nobody is given the stage; no date is said of it any more."""
    knives.dues(clock[0])
    page = client.get(f"/bench/{UNA}").text
    assert "Look at it first." in page
    assert CAUTION in page
    form = page[page.index("planer knives: found dull") :]
    assert 'name="choice" value="found dull"' in form[:900]
    said = {
        "id": "e" * 32, "kind": "edge", "person": str(UNA), "tool": str(knives.tool),
        "edge": str(knives.first), "choice": "found dull",
    }  # fmt: skip
    assert client.post("/bench/tap", data=said, headers=ORIGIN).status_code == 303
    assert gather(knives.joinery.store, clock[0]).edges[knives.tool].edges[0].dull
    bench = words(client, f"/bench/{UNA}")
    assert "Nothing is ready" in bench
    assert "no edge on the planer knives – is a sharp one on it? Start" in bench
    assert "Look at it first." not in bench
    floor = words(client, "/floor")
    assert "next E2" not in floor
    assert "found dull: not to be used no other edge is here: what needs it waits" in floor
    assert "“planing” waits for an edge on the planer knives" in words(client, "/plan")


def test_in_hand_it_is_said_too(client: FlaskClient, knives: Planer, clock: list[datetime]) -> None:
    job = knives.to_plane(3, date(2026, 11, 27), "shelf")
    knives.joinery.tap("start", at("8:55"), job["planing"])
    knives.dues(clock[0])
    page = client.get(f"/bench/{UNA}").text
    hand = page[page.index('id="hand"') :]
    assert "Look at it first." in hand[: hand.index("</section>")]


def test_a_stage_that_waits_for_an_edge_says_until_when(
    client: FlaskClient, knives: Planer, clock: list[datetime]
) -> None:
    knives.deed("sent", at("8:30"), look_again_on="2026-11-30")
    assert "no edge on the planer knives until Mon" in words(client, "/floor")


def test_before_you_go_it_goes_along(client: FlaskClient, knives: Planer, clock: list[datetime]) -> None:
    knives.dues(clock[0])
    assert "to the sharpener tonight" not in words(client, "/floor")
    clock[0] = at("16:00")
    knives.dues(clock[0])
    for page in ("/floor", f"/bench/{UNA}"):
        assert "to the sharpener tonight: planer knives set A" in words(client, page)


def test_a_tablet_that_is_soon_alone_has_it(
    client: FlaskClient, knives: Planer, clock: list[datetime]
) -> None:
    knives.dues(clock[0])
    assert "Look at it first." in client.get(f"/bench/{UNA}/spare").text


def test_a_quote_says_what_edges_lose(office: FlaskClient, joinery: Joinery) -> None:
    """By the hour, with what it rests on; nothing where a sharpening costs nothing."""
    price_all(joinery)
    planer(joinery, renew_cents=2_400)
    wanted = Wanted("Odile Marr", "planks", revision=joinery.revisions["plank"])
    quote = drafts.make(joinery.store, wanted, "f" * 32, UNA, at("9:00"))
    said = words(office, f"/quotes/{quote}")
    assert "Edges worn: half under" in said
    assert "planer knives planing, by the usual life" in said
    assert office.get(f"/api/quotes/{quote}").get_json()["wear_cents"]["p50"] > 0
    tray = Wanted("Odile Marr", "tray", revision=joinery.revisions["tray"])
    other = drafts.make(joinery.store, tray, "e" * 32, UNA, at("9:00"))
    assert "Edges worn" not in words(office, f"/quotes/{other}")


def test_with_a_spare_the_bench_says_what_to_put_on(
    client: FlaskClient, joinery: Joinery, clock: list[datetime]
) -> None:
    """The stage is still offered; it is done with the spare, not with the dull one."""
    knives = planer(joinery, spare=True)
    knives.to_plane(6, date(2026, 12, 1))
    knives.deed("found dull", at("8:30"))
    bench = words(client, f"/bench/{UNA}")
    assert "planer knives set A: found dull: not to be used put set B on" in bench
    assert "Una: start" in bench
    knives.deed("fitted", at("8:40"), edge=knives.spare)
    assert "not to be used" not in words(client, f"/bench/{UNA}")
