"""The pages of jobs: the list, one job with its book, a new job, and taps set aside."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.store.db import Store
from shoptrack.store.log import set_aside
from shoptrack.store.tables import StageRow
from tests.flows.worked import mill, stage_at
from tests.joinery import NOW, PIET, BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import count_queries, text_of


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


def test_closed_jobs_have_a_list_of_their_own_with_pages(office: FlaskClient, joinery: Joinery) -> None:
    for n in range(30):
        job = joinery.add("door", f"door {n}", None)["job"]
        office.post(f"/jobs/{job}/closed", data={"closed": "yes"}, headers=ORIGIN)
    first, second = office.get("/jobs?show=closed").text, office.get("/jobs?show=closed&page=2").text
    assert first.count(" · closed ") == 25
    assert second.count(" · closed ") == 5
    assert "earlier ones" in first
    assert "earlier ones" not in second
    assert "There are no more." in office.get("/jobs?show=closed&page=3").text
    assert office.get("/jobs?show=closed&page=x").status_code == 400
    assert office.get("/jobs?show=sold").status_code == 400


def test_the_lists_of_jobs(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """One job has a stage put aside, one is called off, with its reason; the others are open."""
    assert "No job is put aside." in office.get("/jobs?show=put%20aside").text
    assert "No job was called off yet." in office.get("/jobs?show=called%20off").text
    joinery.tap("put-aside", at("13:22"), day.larder["frame"], reason="lumber", person=PIET)
    off = {"called_off_why": "moved <away>"}
    office.post(f"/jobs/{day.hall['job']}/called-off", data=off, headers=ORIGIN)
    lists = {
        show: office.get(f"/jobs?show={show}").text for show in ("open", "put aside", "closed", "called off")
    }
    assert [show for show, page in lists.items() if "larder doors" in page] == ["open", "put aside"]
    assert [show for show, page in lists.items() if "hall door" in page] == ["called off"]
    assert "moved &lt;away&gt;" in lists["called off"]


def test_the_list_is_light(client: FlaskClient, day: BusyDay) -> None:
    """A job with its stick in fewer than 1,800 bytes; it was 3,000 when each stage had a line of its own."""
    page = client.get("/jobs").text
    assert len(page[page.index('<ul class="jobs">') : page.index("</section>")].encode()) < 5 * 1800


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


def test_a_done_job_asks_to_be_closed(office: FlaskClient, joinery: Joinery) -> None:
    """A door whose last glue-up is a week old."""
    door = joinery.add("door", "cellar door", None)
    for days, name in ((-14, "frame"), (-13, "panel stock"), (-9, "panel glue-up"), (-7, "put together")):
        joinery.plan("start", at("9:00", days), door[name])
        if days > -10:
            joinery.plan("closed", at("9:40", days), door[name])
        joinery.plan("finish", at("9:50", days), door[name])
    joinery.play()
    job = door["job"]
    page = office.get(f"/jobs/{job}").text
    assert "All stages are done." in page, text_of(page)
    assert office.post(f"/jobs/{job}/closed", data={"closed": "yes"}, headers=ORIGIN).status_code == 303
    assert "cellar door" not in office.get("/jobs").text
    assert "closed: what it took, open it again" in office.get(f"/jobs/{job}").text
    office.post(f"/jobs/{job}/closed", data={"closed": "no"}, headers=ORIGIN)
    assert "cellar door" in office.get("/jobs").text


NEW = {
    "pattern": "2",
    "title": "gate, oak",
    "customer": "Ivo Tarn",
    "pieces": "2",
    "promised_on": "2026-12-24",
}


def test_a_job_is_added_from_a_pattern(office: FlaskClient, joinery: Joinery) -> None:
    shown = office.get("/jobs/new?pattern=2").text
    assert "pattern: 4 for each piece" in text_of(shown)
    answer = office.post("/jobs/new", data={**NEW, "measure-1": "7,5"}, headers=ORIGIN)
    assert answer.status_code == 303
    words = text_of(office.get(answer.headers["Location"]).text)
    assert "gate, oak" in words
    assert "frame 7.5 boards" in words
    assert "panel stock 6 boards" in words
    assert "Thu 24 Dec" in words
    assert "gate, oak" in office.get("/jobs").text


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
    office: FlaskClient, joinery: Joinery, field: str, value: str, sentence: str
) -> None:
    answer = office.post("/jobs/new", data={**NEW, "notes": "by the <b>gate", field: value}, headers=ORIGIN)
    assert answer.status_code == 400
    beside = re.search(rf'id="wrong-{field}">(.*?)</p>', answer.text)
    assert beside is not None
    assert sentence in beside[1]
    assert "by the &lt;b&gt;gate" in answer.text
    assert all(f'value="{v}"' in answer.text for k, v in NEW.items() if k not in (field, "pattern"))
    assert "No open job." in office.get("/jobs").text


def test_a_new_job_pressed_twice_is_one_job(office: FlaskClient, joinery: Joinery) -> None:
    """The form carries the number of the newest job; from a fresh form the same words are another job."""
    form = {**NEW, "after": "0"}
    first, again = (office.post("/jobs/new", data=form, headers=ORIGIN).location for _ in range(2))
    assert first == again == "/jobs/1"
    assert office.post("/jobs/new", data={**NEW, "after": "1"}, headers=ORIGIN).location == "/jobs/2"


def test_a_customer_is_chosen_or_added(office: FlaskClient, joinery: Joinery) -> None:
    """Two called Ivo Tarn: the list tells them apart by number, and a bare name is asked about."""
    office.post("/jobs/new", data=NEW, headers=ORIGIN)
    assert '<option value="Ivo Tarn">' in office.get("/jobs/new?pattern=2").text
    office.post("/jobs/new", data={**NEW, "new_customer": "yes"}, headers=ORIGIN)
    page = office.get("/jobs/new?pattern=2").text
    assert '<option value="Ivo Tarn (no. 1)">' in page
    assert '<option value="Ivo Tarn (no. 2)">' in page
    answer = office.post("/jobs/new", data=NEW, headers=ORIGIN)
    assert answer.status_code == 400
    assert "There are 2 customers called Ivo Tarn" in answer.text
    third = office.post("/jobs/new", data={**NEW, "customer": "Ivo Tarn (no. 1)"}, headers=ORIGIN)
    assert 'href="/customers/1"' in office.get(third.location).text


def test_a_new_job_is_for_the_office(client: FlaskClient, joinery: Joinery) -> None:
    assert client.get("/jobs/new").location == "/office?back=%2Fjobs%2Fnew"
    assert client.post("/jobs/new", data=NEW, headers=ORIGIN).status_code == 403
    assert "No open job." in client.get("/jobs").text


@pytest.mark.parametrize("pattern", ["", "99", "x"])
def test_a_pattern_that_is_not_there(office: FlaskClient, joinery: Joinery, pattern: str) -> None:
    answer = office.post("/jobs/new", data={**NEW, "pattern": pattern}, headers=ORIGIN)
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


def test_a_bench_sees_no_money(office: FlaskClient, bare_app: Flask, day: BusyDay) -> None:
    """A priced job with a deposit: its page says so in the office, and has no word of it elsewhere."""
    job = day.hall["job"]
    words = {"title": "hall door", "customer": "Odile Marr", "pieces": "1", "price": "4321", "deposit": "987"}
    office.post(f"/jobs/{job}/change", data={**words, "deposit_on": "2026-11-01"}, headers=ORIGIN)
    page = office.get(f"/jobs/{job}").text
    assert all(said in page for said in ("4,321.00", "987.00", "/customers/1", f"/jobs/{job}/money"))
    bare_app.jinja_env.globals["may_see_money"] = lambda: False
    page = office.get(f"/jobs/{job}").text
    assert "hall door" in page
    assert not any(said in page for said in ("4,321", "987", "USD", "/customers/1", "/money"))


def test_a_job_says_how_many_hours_are_to_come(client: FlaskClient, joinery: Joinery) -> None:
    """Nobody is in the office: hours are no money. The range is in words, and drawn; the list says the
    middle of it."""
    mill(joinery, [41, 38, 40, 43])
    tray = joinery.add("tray", "tray", None)
    stage_at(joinery, tray["milling"], at("8:00"), 41)
    page, jobs = (
        client.get(path).text.replace("\N{NO-BREAK SPACE}", " ") for path in (f"/jobs/{tray['job']}", "/jobs")
    )
    assert re.search(r"still \S+–\S+ h of hands, half under \S+ h", page)
    assert "4 stages untested" in page
    label = re.search(r'class="forecast".*?aria-label="([^"]+)"', page)
    assert label is not None
    assert label[1].startswith("41 min worked, still ")
    assert "when it began" in label[1]
    assert jobs.count(" h to come</span>") == 5


def test_a_closed_job_has_no_hours_to_come(office: FlaskClient, joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    assert 'class="forecast"' in office.get(f"/jobs/{job}").text
    office.post(f"/jobs/{job}/closed", data={"closed": "yes"}, headers=ORIGIN)
    assert 'class="forecast"' not in office.get(f"/jobs/{job}").text


def test_a_job_without_stages_has_nothing_to_come(office: FlaskClient, joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        for name, stage in tray.items():
            if name != "job":
                session.get_one(StageRow, stage).removed_at = NOW
    assert "nothing for hands to come" in office.get(f"/jobs/{tray['job']}").text
    assert " to come</span>" not in office.get("/jobs").text


def test_the_list_asks_no_more_for_more_jobs(client: FlaskClient, joinery: Joinery) -> None:
    """Hours to come are reckoned from what is in memory: ten jobs take as many queries as one."""
    joinery.add("tray", "tray", None)
    client.get("/jobs")
    asked = count_queries(joinery.store)
    client.get("/jobs")
    one = len(asked)
    for n in range(9):
        joinery.add("tray", f"tray {n}", None)
    client.get("/jobs")
    asked.clear()
    client.get("/jobs")
    assert len(asked) == one
