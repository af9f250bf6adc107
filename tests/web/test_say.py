"""What is said of a stage or a whole job by forms of their own, and what stands beside its stages then."""

import re

from flask.testing import FlaskClient

from shoptrack.store.jobs import close_job
from tests.joinery import BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def forms_of(page: str) -> dict[str, dict[str, str]]:
    """The hidden fields of each form of a page that writes to the log, by its kind."""
    found = [
        dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
        for form in re.findall(r'<form method="post" action="/bench/tap".*?</form>', page, re.S)
    ]
    return {sent["kind"]: sent for sent in found if sent.get("kind")}


def test_the_forms_of_a_stage_write_to_the_book(client: FlaskClient, day: BusyDay) -> None:
    """Every form on the inlay's page is filled in and sent; the spoiled pieces stand below the stages."""
    job, stage = day.letter["job"], day.letter["inlay"]
    typed = {
        "note": {"text": "grain runs out"},
        "mend": {"minutes": "12", "cost": "4.50", "text": "patch"},
        "spoil": {"count": "2", "out_of": "10", "way_back": str(stage), "cause": "dull edge"},
        "put-aside": {"reason": "lumber", "look_again_on": "2026-12-03", "text": ""},
    }
    forms = forms_of(client.get(f"/jobs/{job}/stages/{stage}/say").text)
    assert list(forms) == list(typed)
    for kind, sent in forms.items():
        answer = client.post("/bench/tap", data={**sent, **typed[kind], "person": "2"}, headers=ORIGIN)
        assert (answer.status_code, answer.headers["Location"]) == (303, f"/jobs/{job}#s{stage}")
    words = text_of(client.get(f"/jobs/{job}").text)
    for said in (
        "“grain runs out”",
        "mending 12 min",
        "2 of 10 found at inlay",
        "again from inlay",
        "of work lost",
        "put aside: lumber, look again Thu 3 Dec",
    ):
        assert said in words, said
    assert "take-up" in forms_of(client.get(f"/jobs/{job}/stages/{stage}/say").text)


def test_a_whole_job_is_put_aside_and_taken_up_from_its_page_the_bench_and_the_floor(
    client: FlaskClient, joinery: Joinery
) -> None:
    job = joinery.add("tray", "letter tray", None)["job"]
    for n, where in enumerate((f"/jobs/{job}", "/bench/1", "/", f"/jobs/{job}/say")):
        sent = forms_of(client.get(f"/jobs/{job}/say?person=1").text)["put-aside"]
        more = {"reason": "deposit", "look_again_on": "2026-11-25", "text": f"call {n}", "person": "1"}
        assert client.post("/bench/tap", data={**sent, **more}, headers=ORIGIN).status_code == 303
        page = client.get(where).text
        assert "deposit" in page
        take = next(f for f in re.findall(r"<form.*?</form>", page, re.S) if 'value="take-up"' in f)
        fields = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', take))
        assert client.post("/bench/tap", data=fields, headers=ORIGIN).status_code == 303
        assert "deposit" not in client.get("/").text


def test_the_job_page_has_a_link_instead_of_forms_for_each_stage(client: FlaskClient, day: BusyDay) -> None:
    page = client.get(f"/jobs/{day.letter['job']}").text
    assert page.count('action="/bench/tap"') <= 5, "at most one a stage, to keep it for next time"
    assert f'/jobs/{day.letter["job"]}/stages/{day.letter["inlay"]}/say"' in page


def test_what_is_not_there_and_what_is_closed(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job, stage = day.letter["job"], day.letter["inlay"]
    assert client.get(f"/jobs/{job}/stages/{day.elm['inlay']}/say").status_code == 404
    assert client.get("/jobs/999/say").status_code == 404
    with joinery.store.writing() as session:
        close_job(session, job, at("13:23"))
    for path in (f"/jobs/{job}/say", f"/jobs/{job}/stages/{stage}/say"):
        page = client.get(path).text
        assert "This job is closed." in page
        assert forms_of(page) == {}
