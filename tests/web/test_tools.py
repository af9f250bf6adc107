"""The Tools screen and a tool's page: what they say, and one tap for each thing that is done to an edge."""

import re
from datetime import date
from html import unescape

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select, update

from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.shown import show_tools
from shoptrack.store.tables import EdgeKindRow, EntryRow
from shoptrack.store.tools import make_tool
from tests.crawled import read
from tests.flows.tooling.sharp import Planer, planer
from tests.joinery import NOW, PIET, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.posting import wrong
from tests.web.test_floor import text_of


@pytest.fixture
def knives(joinery: Joinery) -> Planer:
    """Planer knives in two sets, the first with an hour and a half on it, and planks to plane."""
    made = planer(joinery, spare=True)
    made.planed(90, 1)
    made.to_plane(24)
    return made


def page(client: FlaskClient, path: str = "/tools") -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return unescape(text_of(answer.text)).replace("\N{NO-BREAK SPACE}", " ")


def forms_of(client: FlaskClient, path: str, **said: str) -> list[dict[str, str]]:
    """The fields of the forms of a page that tap, those of which these are said."""
    found = [dict(f.fields) for f in read(path, client.get(path).text).forms if f.action == "/tools/tap"]
    return [fields for fields in found if said.items() <= fields.items()]


def send(client: FlaskClient, fields: dict[str, str]) -> str:
    """Send a form as it stands; gives where it leads."""
    answer = client.post("/tools/tap", data=fields, headers=ORIGIN)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["Location"])


def press(client: FlaskClient, path: str, choice: str, edge: int | None = None) -> str:
    """Press the first button of a page for a deed, or that of an edge."""
    said = {"choice": choice} | ({} if edge is None else {"edge": str(edge)})
    return send(client, forms_of(client, path, **said)[0])


def did(joinery: Joinery) -> list[tuple[str, int | None, int | None]]:
    deeds = gather(joinery.store, NOW).replayed.deeds
    return [(deed.did, deed.edge, deed.person) for deed in deeds]


def test_what_an_edge_has_run_and_what_is_foretold(office: FlaskClient, knives: Planer) -> None:
    said = page(office)
    assert "An early warning only. A dull edge comes out of service at once, whatever the date says." in said
    assert "29 CFR 1910.213(s)" in said
    assert "set A on it since" in said
    assert "run 1.5 h" in said
    assert "that it is dull now" in said
    assert "rests on the usual 12 h, a starting value: nothing was found dull yet" in said
    assert re.search(r"until then it cuts \w\d planing", said)
    assert "set B spare" in said


def test_the_days_are_those_of_the_plan(office: FlaskClient, knives: Planer) -> None:
    for n in range(3):
        knives.to_plane(60, title=f"more {n}")
    knives.deed("broken", at("9:00"), edge=knives.spare)
    found = show_tools(knives.joinery.store, NOW).lines[0].due
    assert found.p50_on is not None
    assert found.send_by_on is not None
    said = {NOW.date(): "dull today most likely", date(2026, 11, 26): "dull tomorrow most likely"}
    assert said[found.p50_on] in page(office)
    assert found.waits
    assert f"no edge from today to Fri 27 Nov: {len(found.waits)} stages wait" in page(office)


def test_an_edge_that_is_likely_dull_is_to_be_looked_at(office: FlaskClient, joinery: Joinery) -> None:
    """Fifteen hours and more on knives that usually last twelve: the days are those of one still sharp."""
    knives = planer(joinery)
    for weeks in (6, 5, 4, 3, 2):
        knives.planed(210, weeks)
    knives.to_plane(24)
    said = page(office)
    assert re.search(r"(over )?\d\d % that it is dull now: look at it ; if it is sharp, dull", said)
    assert "edges to look at 1" in said


def test_one_tap_finds_it_dull_and_one_more_takes_it_back(office: FlaskClient, knives: Planer) -> None:
    before = did(knives.joinery)
    leads = press(office, "/tools", "found dull")
    assert leads.startswith("/tools?by=1&did=")
    assert did(knives.joinery) == [*before, ("found dull", knives.first, 1)], "by whoever is in the office"
    said = page(office, leads)
    assert "planer knives, set A: found dull – saved" in said
    assert "Found dull: out of service until it is sharp again." in said
    (undo,) = forms_of(office, leads, kind="strike")
    assert send(office, undo) == "/tools?by=1"
    assert did(knives.joinery) == before
    assert "found dull – saved" not in page(office, leads), "it was taken back"


def test_sent_twice_it_counts_once(office: FlaskClient, knives: Planer) -> None:
    (form,) = forms_of(office, "/tools", choice="found dull", edge=str(knives.first))
    for _ in range(2):
        send(office, form)
    assert [d for d, *_ in did(knives.joinery)].count("found dull") == 1


def test_the_spare_goes_on_and_the_dull_one_leaves_and_is_back(office: FlaskClient, knives: Planer) -> None:
    """Swapped, sent with the day it is expected, back: each of them one tap."""
    assert knives.spare is not None
    press(office, "/tools", "found dull")
    press(office, "/tools", "fitted", knives.spare)
    assert "set B on it since" in page(office)
    (sent,) = forms_of(office, "/tools", choice="sent", edge=str(knives.first))
    assert sent["look_again_on"] == "2026-11-27", "two working days"
    send(office, sent)
    assert "set A at the sharpener since 13:24, back Fri 27 Nov" in page(office)
    press(office, "/tools", "back")
    assert "set A spare" in page(office)
    assert [d for d, *_ in did(knives.joinery)][-4:] == ["found dull", "fitted", "sent", "back"]


def test_who_taps_and_when_stay_in_the_address(office: FlaskClient, knives: Planer) -> None:
    path = f"/tools?by={PIET}&when=30"
    leads = press(office, path, "found dull")
    assert leads.startswith(f"/tools?by={PIET}&did=")
    deed = gather(knives.joinery.store, NOW).replayed.deeds[-1]
    assert (deed.person, deed.at) == (PIET, at("12:54"))
    for odd in ("/tools?by=99&when=soon", "/tools?by=x"):
        assert forms_of(office, odd, choice="found dull")[0]["person"] == "1"


def test_an_edge_that_should_be_back_by_now_is_told(office: FlaskClient, knives: Planer) -> None:
    knives.deed("sent", at("9:00", -6), edge=knives.spare, look_again_on="2026-11-23")
    said = page(office)
    assert "set B at the sharpener since" in said
    assert "expected Mon 23 Nov and not back yet" in said


def test_a_tool_whose_edge_nobody_wrote_down(office: FlaskClient, joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        tool = make_tool(session, "panel saw", kind="saw blade").id
    assert "No edge written down yet" in page(office)
    own = page(office, f"/tools/{tool}")
    assert "No edge is written down yet, so no run hours are counted." in own
    assert "How long it lasts" not in own


def test_no_tool_at_all(office: FlaskClient, joinery: Joinery) -> None:
    assert "No tools yet." in page(office)
    assert office.get("/tools/7").status_code == 404


def test_a_tool_s_own_page(office: FlaskClient, knives: Planer) -> None:
    knives.deed("found dull", at("9:00", -6), edge=knives.first, text="tore the ash", person=PIET)
    knives.deed("sharpened", at("9:30", -6), edge=knives.first)
    said = page(office, f"/tools/{knives.tool}")
    assert re.search(r"lasts [\d.]+ h of cutting, 8 in 10 between", said)
    assert "learned from 1 found dull" in said
    assert "20 % dull at" in said
    assert "set A, 1" in said
    assert "found dull: “tore the ash” Piet" in said
    assert "Say what a sharpening and a dull edge cost" in said
    with knives.joinery.store.writing() as session:
        session.execute(update(EdgeKindRow).values(renew_cents=3000, dull_cents=30_000))
    said = page(office, f"/tools/{knives.tool}")
    assert re.search(r"Made sharp every [\d.]+ h it costs least by your costs ?: \d+\.\d\d USD an hour", said)


def test_a_line_of_its_book_is_struck(office: FlaskClient, knives: Planer) -> None:
    knives.deed("found dull", at("9:00"), edge=knives.first)
    path = f"/tools/{knives.tool}"
    hidden, newest, _ = forms_of(office, path, kind="strike")
    assert hidden["of"] == "", "nothing was just tapped"
    send(office, newest)
    assert [d for d, *_ in did(knives.joinery)] == ["fitted"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"choice": ""}, "What was done or found is missing."),
        ({"choice": "kissed"}, "What was done or found can’t be that."),
        ({"choice": "meter"}, "what the meter showed"),
        ({"choice": "meter", "hours": "many"}, "must be a number from 0"),
        ({"choice": "cleaned", "hours": "3"}, "Only a meter is read."),
        ({"choice": "sent", "cost": "dear"}, "dear"),
        (
            {"choice": "cleaned", "look_again_on": "2026-12-01"},
            "Only an edge that was sent is expected back.",
        ),
        ({"choice": "cleaned", "when": "soon"}, "is not a number of minutes"),
        ({"choice": "cleaned", "person": "x"}, "The person must be a whole number"),
    ],
)
def test_what_can_not_be_said_comes_back_beside_its_field(
    office: FlaskClient, knives: Planer, typed: dict[str, str], said: str
) -> None:
    form = {"id": "f" * 32, "kind": "edge", "tool": str(knives.tool), "edge": str(knives.first), "text": "hm"}
    before = did(knives.joinery)
    assert said in unescape(wrong(office, "/tools/tap", **{**form, **typed}))
    answer = office.post("/tools/tap", data={**form, **typed}, headers=ORIGIN)
    assert 'value="hm"' in answer.text
    assert 'name="id" value="' + "f" * 32 in answer.text, "put right, it is the same tap"
    assert did(knives.joinery) == before


def test_a_cost_and_a_reading_are_written_down(office: FlaskClient, knives: Planer) -> None:
    tool, edge = str(knives.tool), str(knives.first)
    more = {"kind": "edge", "tool": tool, "edge": edge, "back": f"/tools/{tool}"}
    cost = {"id": "a" * 32, "choice": "sent", "cost": "36.50", "look_again_on": "2026-12-01"}
    assert office.post("/tools/tap", data={**more, **cost}, headers=ORIGIN).status_code == 303
    meter = {"id": "b" * 32, "choice": "meter", "hours": "1204.5"}
    assert office.post("/tools/tap", data={**more, **meter}, headers=ORIGIN).status_code == 303
    with knives.joinery.store.reading() as session:
        rows = session.scalars(select(EntryRow).where(EntryRow.kind == "edge").order_by(EntryRow.n)).all()
    assert [(r.body.get("cents"), r.body.get("minutes")) for r in rows[-2:]] == [(3650, None), (None, 72_270)]
    said = page(office, f"/tools/{tool}")
    assert "1204.5 h" in said
    assert "36.50 USD" in said


def test_what_the_book_sets_aside_is_told(office: FlaskClient, knives: Planer) -> None:
    form = {"id": "c" * 32, "kind": "edge", "tool": "99", "edge": "1", "choice": "cleaned"}
    answer = office.post("/tools/tap", data=form, headers=ORIGIN)
    assert (answer.status_code, "set aside" in answer.text) == (409, True)


def test_a_bench_tablet_sees_no_money(bare_app: Flask, office: FlaskClient, knives: Planer) -> None:
    with knives.joinery.store.writing() as session:
        session.execute(update(EdgeKindRow).values(renew_cents=3000, dull_cents=30_000))
    knives.deed("sent", at("9:00"), edge=knives.first, cents=3600)
    path = f"/tools/{knives.tool}"
    assert "36.00 USD" in page(office, path)
    bare_app.jinja_env.globals.update(may_see_money=lambda: False, device_kind=lambda: "bench")
    said = page(office, path)
    assert "USD" not in said
    assert "it costs least by your costs" in said
    assert "/shop/" not in office.get(path).text
