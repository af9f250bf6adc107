"""What a job waits for on its pages: written down, moved, come, struck out; read-only for the bench."""

import re

import pytest
from flask.testing import FlaskClient

from shoptrack.store.awaited import awaited_of
from tests.joinery import BusyDay, Joinery
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

LUMBER = {"what": "elm, 60 board feet <wide>", "stage": "", "expected_on": "2026-12-01", "after": "0"}


def page_of(client: FlaskClient, job: int) -> str:
    return text_of(client.get(f"/jobs/{job}/awaited").text)


def test_from_written_down_to_come(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """Sent twice it is one line; its day moves; it came yesterday; it had not come after all."""
    job = day.hall["job"]
    assert "Nothing: it can go on when the shop can." in page_of(office, job)
    for _ in range(2):
        assert post(office, f"/jobs/{job}/awaited", **{**LUMBER, "stage": str(day.hall["frame"])})[0] == 303
    assert page_of(office, job).count("elm, 60 board feet") == 1
    assert "for 1 frame looked for Tue 1 Dec" in page_of(office, job)
    assert "&lt;wide&gt;" in office.get(f"/jobs/{job}/awaited").text
    one = f"/jobs/{job}/awaited/1"
    assert post(office, f"{one}/expected", **{"expected_on-1": "2026-12-08"})[0] == 303
    assert "looked for Tue 8 Dec , agreed was Tue 1 Dec" in page_of(office, job)
    assert post(office, f"{one}/came", came="yes", **{"came_on-1": "2026-11-24"})[0] == 303
    assert "came yesterday" in page_of(office, job)
    assert post(office, f"{one}/came", came="no")[0] == 303
    assert "looked for Tue 8 Dec" in page_of(office, job)
    assert post(office, f"{one}/came", came="yes")[0] == 303
    assert "came today" in page_of(office, job)


def test_nobody_knows_when_and_it_was_not_needed(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.hall["job"]
    post(office, f"/jobs/{job}/awaited", **{**LUMBER, "expected_on": ""})
    assert "nobody knows when" in page_of(office, job)
    for _ in range(2):
        assert post(office, f"/jobs/{job}/awaited/1/struck")[0] == 303
    with joinery.store.reading() as session:
        assert awaited_of(session, job) == []
    tag = re.search(r'class="tag">([^<]+)<', office.get(f"/jobs/{job}/awaited").text)
    assert tag is not None
    assert f"jobs : taken back: {tag[1]} elm, 60" in text_of(office.get("/shop/history").text)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"what": " "}, "What it waits for is missing."),
        ({"what": "x" * 201}, "longer than 200"),
        ({"stage": "999"}, "no stage of this job"),
        ({"stage": "1"}, "no stage of this job"),
        ({"expected_on": "soon"}, "not a date"),
        ({"after": "x"}, "whole number"),
    ],
)
def test_what_can_not_be_is_said_beside_its_field(
    office: FlaskClient, day: BusyDay, fields: dict[str, str], said: str
) -> None:
    """Stage 1 is another job's."""
    assert said in wrong(office, f"/jobs/{day.hall['job']}/awaited", **{**LUMBER, **fields})


def test_days_that_can_not_be(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.hall["job"]
    post(office, f"/jobs/{job}/awaited", **LUMBER)
    one = f"/jobs/{job}/awaited/1"
    assert "not a date" in wrong(office, f"{one}/expected", **{"expected_on-1": "tomorrow"})
    assert "still to come" in wrong(office, f"{one}/came", came="yes", **{"came_on-1": "2026-11-26"})
    assert post(office, f"{one}/came", came="perhaps")[0] == 400
    for path in (f"/jobs/{job}/awaited/7/came", f"/jobs/{day.elm['job']}/awaited/1/came"):
        assert post(office, path, came="yes")[0] == 404
    assert post(office, f"/jobs/{day.elm['job']}/awaited/1/struck")[0] == 404
    assert office.get("/jobs/999/awaited").status_code == 404


def test_a_closed_job_waits_for_nothing_more(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.game["job"]
    post(office, f"/jobs/{job}/closed", closed="yes")
    assert "closed" in wrong(office, f"/jobs/{job}/awaited", **LUMBER)


def test_the_jobs_page_tells_it_and_the_bench_can_only_read(
    office: FlaskClient, client: FlaskClient, day: BusyDay
) -> None:
    """Overdue since Monday, on the job's own page too; before the office's door nothing is changed."""
    job = day.hall["job"]
    assert "What it waits for" not in office.get(f"/jobs/{job}").text
    post(office, f"/jobs/{job}/awaited", **{**LUMBER, "expected_on": "2026-11-23"})
    page = office.get(f"/jobs/{job}").text
    assert "What it waits for elm, 60 board feet" in text_of(page)
    assert "looked for Mon 23 Nov, is past" in text_of(page)
    assert f'action="/jobs/{job}/awaited' not in page
    stranger = client.application.test_client()
    assert "elm, 60 board feet" in stranger.get(f"/jobs/{job}").text
    assert stranger.get(f"/jobs/{job}/awaited").status_code == 303
    assert post(stranger, f"/jobs/{job}/awaited", **LUMBER)[0] == 403


def test_a_day_that_somebody_else_moved_is_not_moved_unseen(
    office: FlaskClient, client: FlaskClient, day: BusyDay
) -> None:
    job = day.hall["job"]
    post(office, f"/jobs/{job}/awaited", **LUMBER)
    page = office.get(f"/jobs/{job}/awaited").text
    seen = re.findall(r'name="seen" value="(\d+)"', page)[0]
    piet = client.application.test_client()
    post(piet, "/office", person="2")
    assert post(piet, f"/jobs/{job}/awaited/1/expected", **{"expected_on-1": "2026-12-04"})[0] == 303
    status, told = post(
        office, f"/jobs/{job}/awaited/1/expected", seen=seen, **{"expected_on-1": "2026-12-09"}
    )
    assert status == 400
    assert "Piet changed this after you opened it (expected)" in told
