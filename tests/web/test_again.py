"""A form whose writing can't be read comes back with all that was typed; put right, it is one tap."""

import html
import re

import pytest
from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict

from shoptrack.errors import BadInput
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from shoptrack.store.tables import SetAsideRow
from shoptrack.web.again import about, ask_again, asked_of
from shoptrack.web.render import Wall
from tests.joinery import NOW, BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_say import forms_of

KELVIN_SHOP = Wall(currency="EUR", temperature_unit="C")


def again(page: str) -> dict[str, str]:
    """The fields of the one form of a page, hidden ones too, as a browser would send them."""
    form = re.findall(r'<form method="post" action="/bench/tap".*?</form>', page, re.S)
    assert len(form) == 1
    inputs = re.findall(r"<input [^>]*>", form[0])
    return {
        html.unescape(re.findall(r'name="([^"]*)"', i)[0]): html.unescape(
            re.findall(r'value="([^"]*)"', i)[0]
        )
        for i in inputs
    }


def kinds(joinery: Joinery) -> list[str]:
    with joinery.store.reading() as session:
        assert session.query(SetAsideRow).count() == 0
        return [e.kind for e in log.whole_log(session)]


WRONG: list[tuple[str, dict[str, str], str, str]] = [
    ("mend", {"minutes": "a while", "cost": "4.50", "text": 'a "patch" <b>'}, "minutes", "12"),
    ("mend", {"minutes": "6001", "cost": "", "text": ""}, "minutes", "60"),
    ("mend", {"minutes": "12", "cost": "four", "text": "patch"}, "cost", "4"),
    ("note", {"text": "x" * 2001}, "text", "short"),
    ("note", {"text": ""}, "text", "grain runs out"),
    ("spoil", {"count": "0", "out_of": "10", "cause": "wood", "text": "knot"}, "count", "1"),
    ("spoil", {"count": "11", "out_of": "10", "cause": "wood", "text": "knot"}, "count", "1"),
    ("spoil", {"count": "1", "out_of": "ten", "cause": "wood", "text": "knot"}, "out_of", "10"),
    ("put-aside", {"reason": "lumber", "look_again_on": "2026-02-30", "text": "oak"}, "look_again_on", ""),
]


@pytest.mark.parametrize(("kind", "typed", "field", "right"), WRONG)
def test_what_was_typed_comes_back_and_put_right_it_is_one_tap(
    client: FlaskClient,
    joinery: Joinery,
    day: BusyDay,
    kind: str,
    typed: dict[str, str],
    field: str,
    right: str,
) -> None:
    """From the page of a stage: 400, the sentence at its field, nothing kept; right it, and it leads back."""
    job, stage = day.letter["job"], day.letter["inlay"]
    hidden = forms_of(client.get(f"/jobs/{job}/stages/{stage}/say").text)[kind]
    before = kinds(joinery)
    sent = {**hidden, **typed, "person": "2", **({"way_back": str(stage)} if kind == "spoil" else {})}
    answer = client.post("/bench/tap", data=sent, headers=ORIGIN)
    assert answer.status_code == 400
    assert f'aria-describedby="wrong-{field}"' in answer.text
    assert f'id="wrong-{field}"' in answer.text
    filled = again(answer.text)
    assert {n: v for n, v in sent.items() if v or n == field} == {
        n: v for n, v in filled.items() if v or n == field
    }
    assert kinds(joinery) == before
    for _ in range(2):
        answer = client.post("/bench/tap", data={**filled, field: right}, headers=ORIGIN)
        assert (answer.status_code, answer.headers["Location"]) == (303, sent["back"])
    assert kinds(joinery) == [*before, kind]


def test_the_benchs_own_fields_without_a_script(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """Spoiled count, thermometer and clamps of the Bench: each comes back on a page of its own."""
    pages = client.get("/bench/1").text
    forms = forms_of(pages.replace('<form class="tap" method', "<form method"))
    for kind, typed, field in (
        ("temperature", {"warmth": "mild"}, "warmth"),
        ("recount", {"count": "2.5"}, "count"),
    ):
        answer = client.post("/bench/tap", data={**forms[kind], **typed}, headers=ORIGIN)
        assert (answer.status_code, again(answer.text)[field]) == (400, typed[field])
        assert 'href="/bench/1"' in answer.text


def test_minutes_ago_that_are_none_stay_in_the_field(client: FlaskClient, day: BusyDay) -> None:
    for typed in ("soon", "20161", "²", "-5", '"><script>'):
        answer = client.get("/bench/1", query_string={"when": typed})
        assert answer.status_code == 400
        assert f'value="{html.escape(typed)}"' in answer.text.replace("&#34;", "&quot;")
        assert 'id="wrong-when"' in answer.text
    assert client.get("/bench/1?when=20160").status_code == 200
    page = client.get("/bench/1").text
    assert "wrong-when" not in page
    start = {"id": "late-start-1", "kind": "start", "person": "1", "text": "sweeping", "when": "99999"}
    answer = client.post("/bench/tap", data=start, headers=ORIGIN)
    assert (answer.status_code, again(answer.text)) == (400, start)


def test_a_forged_field_is_still_refused_outright(client: FlaskClient, day: BusyDay) -> None:
    for forged in ({"person": "Ben"}, {"stage": "-1"}, {"back": "//elsewhere"}):
        sent = {"id": "a-forged-one", "kind": "finish", "person": "1", "stage": "1", **forged}
        answer = client.post("/bench/tap", data=sent, headers=ORIGIN)
        assert answer.status_code == 400
        assert 'action="/bench/tap"' not in answer.text


def test_a_number_button_is_shown_as_the_count() -> None:
    form = MultiDict([("count", "3"), ("count_is", "9x"), ("when", "2026-11-25T10:00:00Z")])
    asked = asked_of(form, "count", KELVIN_SHOP)
    assert [(a.name, a.called, a.typed) for a in asked] == [("count", "how many", "9x")]


def test_units_are_the_shops_own() -> None:
    asked = asked_of(MultiDict([("warmth", "x"), ("cost", "y")]), "cost", KELVIN_SHOP)
    assert [a.called for a in asked] == ["cost, EUR", "temperature, °C"]


def test_what_it_is_about(joinery: Joinery, day: BusyDay) -> None:
    sight = gather(joinery.store, NOW)
    stage = day.letter["inlay"]
    tag = sight.world.jobs[day.letter["job"]].tag
    said = MultiDict([("person", "1"), ("stage", str(stage)), ("stage", "no"), ("cause", "dull edge")])
    assert (
        about(said, sight)
        == f"{sight.world.people[1].name} · {tag} {sight.world.stages[stage].name} · dull edge"
    )
    assert about(MultiDict(), sight) == ""
    with pytest.raises(BadInput, match="whole"):
        ask_again(MultiDict(), BadInput("It is of the whole."), sight, KELVIN_SHOP, "/")


def test_not_changed_carries_its_validator(client: FlaskClient, day: BusyDay) -> None:
    """RFC 9110 section 15.4.5: a 304 carries the ETag that the 200 would have had."""
    for path in ("/bench", "/bench/1", "/bench/1/spare"):
        tag = client.get(path).headers["ETag"]
        answer = client.get(path, headers={"If-None-Match": tag})
        assert (answer.status_code, answer.headers.get("ETag")) == (304, tag)
