"""The pages of jobs: the list, one job with its book, a new job, and taps set aside."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.store.db import Store
from shoptrack.store.log import set_aside
from tests.joinery import NOW, PIET, BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def test_open_jobs_are_listed_first_promised_first(client: FlaskClient, day: BusyDay) -> None:
    page = client.get("/jobs").text
    titles = re.findall(r'<span class="strong">([^<]+)</span><span class="small soft">Odile', page)
    assert titles == [
        "letter tray",
        "board game tray",
        "six trays, elm",
        "hall door, ash",
        "larder doors, sycamore",
    ]
    words = text_of(page)
    assert "yesterday is past" in words
    assert "joint in doubt: test or redo" in words
    assert "in hand: Una" in words


def test_closed_jobs_are_below_a_fold_with_pages(client: FlaskClient, joinery: Joinery) -> None:
    for n in range(30):
        job = joinery.add("door", f"door {n}", None)["job"]
        client.post(f"/jobs/{job}/closed", data={"closed": "yes"}, headers=ORIGIN)
    first, second = client.get("/jobs").text, client.get("/jobs?page=2").text
    assert first.count(" · closed ") == 25
    assert second.count(" · closed ") == 5
    assert "earlier ones" in first
    assert "earlier ones" not in second
    assert client.get("/jobs?page=x").status_code == 400


def test_a_jobs_page(client: FlaskClient, day: BusyDay) -> None:
    """The letter tray: promised yesterday, oiled early, with every line of its book."""
    words = text_of(client.get(f"/jobs/{day.letter['job']}").text)
    for said in (
        "letter tray",
        "yesterday, is past",
        "10 inlays, 7 done",
        "3 coats, 1 done",
        "1 coat closed 13:19: wipe off by 13:39 · recoat from",
        "Piet start oiling , insisted",
        "Piet closed inlay , 4",
    ):
        assert said in words or said.replace(" ,", ",") in words, said


def test_a_job_that_is_not_there(client: FlaskClient) -> None:
    assert client.get("/jobs/999").status_code == 404
    assert client.get("/jobs/99999999999999999999").status_code == 404


def test_a_struck_line_stays_readable(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.letter["job"]
    line = joinery.tap("note", at("13:22"), day.letter["inlay"], person=PIET, text="wrong tray")
    form = {"id": "strike-line-1", "strike": line, "person": str(PIET)}
    answer = client.post(f"/jobs/{job}/book", data=form, headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/jobs/{job}#log")
    page = client.get(f"/jobs/{job}").text
    (struck,) = re.findall(r"<s>(.*?)</s>", page, re.S)
    assert "wrong tray" in struck
    assert "struck by Piet" in page


def test_a_line_is_moved_and_says_from_when(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.letter["job"]
    line = joinery.tap("note", at("13:22"), day.letter["inlay"], text="clamp 4 slipped")
    form = {"id": "move-line-1", "move": line, f"to-{line}": "2026-11-25T11:05", "person": ""}
    answer = client.post(f"/jobs/{job}/book", data=form, headers=ORIGIN)
    assert answer.status_code == 303, answer.text
    words = text_of(client.get(f"/jobs/{job}").text)
    assert re.search(r"11:05 Una note inlay: “clamp 4 slipped” moved from 13:22", words)


@pytest.mark.parametrize("to", ["", "2026-11-25T13:25", "2030-01-01T00:00", "yesterday"])
def test_a_line_is_not_moved_to_nowhere(client: FlaskClient, joinery: Joinery, day: BusyDay, to: str) -> None:
    line = joinery.tap("note", at("13:22"), day.letter["inlay"], text="x")
    form = {"id": "move-line-2", "move": line, f"to-{line}": to}
    assert client.post(f"/jobs/{day.letter['job']}/book", data=form, headers=ORIGIN).status_code == 400


def test_a_line_that_never_was_is_not_struck(client: FlaskClient, day: BusyDay) -> None:
    form = {"id": "strike-line-2", "strike": "no-such-tap"}
    answer = client.post(f"/jobs/{day.letter['job']}/book", data=form, headers=ORIGIN)
    assert answer.status_code == 409


def test_the_forms_of_a_stage_write_to_the_book(client: FlaskClient, day: BusyDay) -> None:
    """Every form that the page shows for the inlay is filled in and sent."""
    job, stage = day.letter["job"], day.letter["inlay"]
    page = client.get(f"/jobs/{job}").text
    part = page[page.index(f'id="more-{stage}"') :].split("</details>")[0]
    typed = {
        "note": {"text": "grain runs out"},
        "mend": {"minutes": "12", "cost": "4.50", "text": "patch"},
        "spoil": {"count": "2", "out_of": "10", "way_back": str(stage), "cause": "dull edge"},
        "put-aside": {"reason": "lumber", "look_again_on": "2026-12-03", "text": ""},
    }
    forms = re.findall(r"<form.*?</form>", part, re.S)
    kinds = []
    for form in forms:
        fields = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
        kinds.append(fields["kind"])
        answer = client.post(
            "/bench/tap", data={**fields, **typed[fields["kind"]], "person": "2"}, headers=ORIGIN
        )
        assert (answer.status_code, answer.headers["Location"]) == (303, f"/jobs/{job}#s{stage}")
    assert kinds == list(typed)
    words = text_of(client.get(f"/jobs/{job}").text)
    for said in (
        "“grain runs out”",
        "mending 12 min",
        "2 of 10, dull edge",
        "put aside: lumber, look again Thu 3 Dec",
    ):
        assert said in words, said
    assert "Take up again" in words


def test_a_done_job_asks_to_be_closed(bare_app: Flask, joinery: Joinery) -> None:
    """A door whose last glue-up is a week old."""
    door = joinery.add("door", "cellar door", None)
    for days, name in ((-14, "frame"), (-13, "panel stock"), (-9, "panel glue-up"), (-7, "put together")):
        joinery.plan("start", at("9:00", days), door[name])
        if days > -10:
            joinery.plan("closed", at("9:40", days), door[name])
        joinery.plan("finish", at("9:50", days), door[name])
    joinery.play()
    client, job = bare_app.test_client(), door["job"]
    page = client.get(f"/jobs/{job}").text
    assert "All stages are done." in page, text_of(page)
    assert client.post(f"/jobs/{job}/closed", data={"closed": "yes"}, headers=ORIGIN).status_code == 303
    assert "cellar door" not in client.get("/jobs").text.split("Closed jobs")[0]
    closed = client.get(f"/jobs/{job}").text
    assert "This job is closed." in closed
    assert "<strong" not in closed
    client.post(f"/jobs/{job}/closed", data={"closed": "no"}, headers=ORIGIN)
    assert "cellar door" in client.get("/jobs").text.split("Closed jobs")[0]


NEW = {
    "pattern": "2",
    "title": "gate, oak",
    "customer": "Ivo Tarn",
    "pieces": "2",
    "promised_on": "2026-12-24",
}


def test_a_job_is_added_from_a_pattern(client: FlaskClient, joinery: Joinery) -> None:
    shown = client.get("/jobs/new?pattern=2").text
    assert "pattern: 4 for each piece" in text_of(shown)
    answer = client.post("/jobs/new", data={**NEW, "measure-1": "7,5"}, headers=ORIGIN)
    assert answer.status_code == 303
    words = text_of(client.get(answer.headers["Location"]).text)
    assert "gate, oak" in words
    assert "frame 7.5 boards" in words
    assert "panel stock 6 boards" in words
    assert "Thu 24 Dec" in words
    assert "gate, oak" in client.get("/jobs").text


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("title", " ", "What it is is missing."),
        ("customer", "", "The customer is missing."),
        ("pieces", "0", "The number of pieces must be a whole number from 1 to 10000."),
        ("promised_on", "soon", "The promised date is not a date; one looks like 2027-03-14."),
        ("measure-2", "-3", "A measure must be a number above nought."),
        ("price", "dear", "dear"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_nothing_is_lost(
    client: FlaskClient, joinery: Joinery, field: str, value: str, sentence: str
) -> None:
    answer = client.post("/jobs/new", data={**NEW, "notes": "by the <b>gate", field: value}, headers=ORIGIN)
    assert answer.status_code == 400
    beside = re.search(rf'id="wrong-{field}">(.*?)</p>', answer.text)
    assert beside is not None
    assert sentence in beside[1]
    assert "by the &lt;b&gt;gate" in answer.text
    assert all(f'value="{v}"' in answer.text for k, v in NEW.items() if k not in (field, "pattern"))
    assert "No open job." in client.get("/jobs").text


@pytest.mark.parametrize("pattern", ["", "99", "x"])
def test_a_pattern_that_is_not_there(client: FlaskClient, joinery: Joinery, pattern: str) -> None:
    answer = client.post("/jobs/new", data={**NEW, "pattern": pattern}, headers=ORIGIN)
    assert answer.status_code == 400
    assert "attern" in answer.text


def test_taps_set_aside_are_shown_with_reason_and_what_was_sent(
    client: FlaskClient, bare_store: Store, joinery: Joinery
) -> None:
    assert "None. Every tap was taken." in client.get("/set-aside").text
    with bare_store.writing() as session:
        set_aside(
            session,
            id="t1",
            device="tablet",
            body={"kind": "dance", "text": "<script>"},
            body_hash="h",
            reason="“dance” is no kind of tap.",
            received_at=NOW,
        )
    page = client.get("/set-aside").text
    assert "“dance” is no kind of tap." in page
    assert "&#34;dance&#34;" in page or '"dance"' in page
    assert "<script>" not in page
