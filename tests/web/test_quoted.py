"""The pages of quoted against actual, of all quotes that became jobs, and of what pays."""

from datetime import timedelta

import pytest
from flask.testing import FlaskClient

from shoptrack.flows.jobs import set_closed
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.wanted import Wanted, WantedLine
from shoptrack.store.jobs import job_row
from shoptrack.store.rates import set_rate
from tests.joinery import LONG_AGO, NOW, Joinery, at
from tests.web.conftest import ORIGIN


@pytest.fixture
def done(joinery: Joinery) -> int:
    """A door that was quoted with its hinges, taken, framed in two hours and closed: its job."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=6_000, from_on=LONG_AGO.date(), who=None, now=LONG_AGO)
    hinges = (WantedLine("hardware", "hinges", 2, cents_each=500),)
    wanted = Wanted("Odile Marr", "hall <door>", revision=joinery.revisions["door"], bought=hinges)
    quote = drafts.make(joinery.store, wanted, "form", None, at("8:00", -9))
    answers.put_out(joinery.store, quote, 1, None, at("8:00", -9))
    job = answers.take(joinery.store, quote, 1, None, at("8:00", -8))
    with joinery.store.reading() as session:
        frame = next(s.id for s in job_row(session, job).stages if s.name == "frame")
    joinery.tap("start", at("8:00", -2), frame)
    joinery.tap("finish", at("10:00", -2), frame)
    set_closed(joinery.store, job, True, None, NOW)
    return job


def page(office: FlaskClient, path: str, status: int = 200) -> str:
    answer = office.get(path)
    assert answer.status_code == status
    return answer.get_data(as_text=True)


def test_a_shop_that_quoted_nothing_is_told_so(office: FlaskClient) -> None:
    assert "No quoted job is closed yet" in page(office, "/quotes/record")
    assert "No job with a price" in page(office, "/quotes/pays")


def test_a_job_that_was_not_quoted_or_is_open_has_no_such_page(office: FlaskClient, joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    assert "not made of a quote" in page(office, f"/jobs/{job}/quoted", 404)
    page(office, "/jobs/999/quoted", 404)


def test_a_job_shows_each_stage_beside_what_it_took(office: FlaskClient, done: int) -> None:
    text = page(office, f"/jobs/{done}/quoted")
    assert "it took 2\xa0h" in text
    assert "panel glue-up" in text
    assert "not begun" in text
    assert "hall &lt;door&gt;" in text


def test_the_record_leads_to_the_job_and_says_how_far_off_quotes_were(office: FlaskClient, done: int) -> None:
    text = page(office, "/quotes/record")
    assert f'href="/jobs/{done}/quoted"' in text
    assert "Your last quote was" in text
    assert "Too few to say whether they are getting better" in text
    assert "Your last quote was" in page(office, "/quotes")


def test_what_pays_names_pattern_and_customer(office: FlaskClient, done: int) -> None:
    text = page(office, "/quotes/pays")
    assert ">door</a>" in text
    assert ">Odile Marr</a>" in text
    assert "1 job since" in text


@pytest.mark.parametrize("path", ["/quotes/record", "/quotes/pays"])
def test_only_the_office_sees_them(client: FlaskClient, path: str) -> None:
    """Where two people work, somebody has to say who they are first."""
    assert client.get(path).status_code == 303


def test_a_closed_job_leads_to_what_was_quoted(office: FlaskClient, done: int) -> None:
    assert f'href="/jobs/{done}/quoted"' in page(office, f"/jobs/{done}/end")


def test_it_says_when_nothing_that_was_bought_is_written_down(office: FlaskClient, done: int) -> None:
    looks_better = "so it looks better than it was"
    assert looks_better in page(office, f"/jobs/{done}/quoted")
    form = {"after": "0", "kind": "hardware", "cost_words": "hinges", "cost": "11.20"}
    assert office.post(f"/jobs/{done}/costs", data=form, headers=ORIGIN).status_code == 303
    text = page(office, f"/jobs/{done}/quoted")
    assert looks_better not in text
    assert "11.20" in text


def test_words_stay_the_same_an_hour_later(office: FlaskClient, done: int) -> None:
    """Nothing in the sheet is reckoned from the clock."""
    first = page(office, f"/jobs/{done}/quoted").split("<footer")[0]
    office.application.config["NOW"] = lambda: NOW + timedelta(hours=1)
    assert page(office, f"/jobs/{done}/quoted").split("<footer")[0] == first
