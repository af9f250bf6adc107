"""The patterns' pages: the list, one with its revisions, two side by side, copied, retired, kept of a job."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from shoptrack.flows.patterns import Written, pattern_view, revise
from shoptrack.store.jobs import close_job
from shoptrack.store.patterns import list_patterns
from tests.joinery import NOW, UNA, Joinery
from tests.web.conftest import ORIGIN


def twice(shop: Joinery) -> None:
    """A second revision of the tray: three boards for each, nobody carves."""
    first = pattern_view(shop.store, 1, None, NOW).stages
    stages = (replace(first[0], per_piece=3.0), first[1])
    revise(shop.store, 1, Written("tray", "plain trays", stages, base=1), UNA, NOW)


def test_the_list_draws_the_order_of_each(office: FlaskClient) -> None:
    page = office.get("/patterns").text
    assert page.count('class="order"') == 2
    assert "4 put together after 1, 3" in page


def test_a_pattern_is_there_to_read(office: FlaskClient) -> None:
    page = office.get("/patterns/1").text
    for words in (
        "20 inlays",
        "10 inlays for each piece, in rounds",
        "inlay, as rounds are ready",
        "cauls waxed",
    ):
        assert (words in page) == (words != "20 inlays")


def test_an_older_revision_says_that_it_is_one(office: FlaskClient, joinery: Joinery) -> None:
    twice(joinery)
    old, new = office.get("/patterns/1?revision=1").text, office.get("/patterns/1").text
    assert "This is an older revision" in old
    assert "Change it" not in old
    assert "carving the well" in old
    assert "carving the well" not in new
    assert "plain trays" in new
    assert "Una" in new
    assert office.get("/patterns/1?revision=9").status_code == 404
    assert office.get("/patterns/1?revision=x").status_code == 400


def test_two_revisions_are_compared_in_words(office: FlaskClient, joinery: Joinery) -> None:
    twice(joinery)
    page = office.get("/patterns/1/compare").text
    assert "<s>2 boards for each piece</s> → <ins>3 boards for each piece</ins>" in page
    assert "taken out:</span> <s>carving the well</s>" in page
    back = office.get("/patterns/1/compare?from=2&to=1").text
    assert 'added:</span> <span class="strong">carving the well</span>' in back
    assert "Nothing is different" in office.get("/patterns/1/compare?from=1&to=1").text
    assert "Nothing is different" in office.get("/patterns/2/compare").text


def test_a_copy_is_made_under_another_name(office: FlaskClient, joinery: Joinery) -> None:
    answer = office.post("/patterns/1/copy", data={"name": "tea tray"}, headers=ORIGIN)
    assert answer.status_code == 303
    assert "tea tray" in office.get(answer.headers["Location"]).text
    taken = office.post("/patterns/1/copy", data={"name": "door"}, headers=ORIGIN)
    assert taken.status_code == 400
    assert 'value="door"' in taken.text
    assert "already" in taken.text


def test_retired_it_is_offered_no_more_and_brought_back(office: FlaskClient, joinery: Joinery) -> None:
    office.post("/patterns/2/retired", data={"retired": "yes"}, headers=ORIGIN)
    page = office.get("/patterns").text
    assert "No longer used" in page
    assert "no longer used" in office.get("/patterns/2").text
    with joinery.store.reading() as session:
        assert [p.name for p in list_patterns(session)] == ["tray"]
    office.post("/patterns/2/retired", data={"retired": "no"}, headers=ORIGIN)
    assert "No longer used" not in office.get("/patterns").text


def test_a_finished_job_is_kept(office: FlaskClient, joinery: Joinery) -> None:
    tray = joinery.add("tray", "six trays", None, 6)
    path = f"/jobs/{tray['job']}/keep-pattern"
    assert office.post(path, data={"name": "six"}, headers=ORIGIN).status_code == 409
    with joinery.store.writing() as session:
        close_job(session, tray["job"], NOW)
    assert "Keep it as a pattern" in office.get(f"/jobs/{tray['job']}").text
    taken = office.post(path, data={"name": "door"}, headers=ORIGIN)
    assert taken.status_code == 400
    assert 'value="door"' in taken.text
    kept = [office.post(path, data={"name": "six"}, headers=ORIGIN).headers["Location"] for _ in range(2)]
    assert kept == ["/patterns/3", "/patterns/3"]


@pytest.mark.parametrize("path", ["/patterns", "/patterns/1", "/patterns/1/compare"])
def test_the_pages_are_the_offices(client: FlaskClient, path: str) -> None:
    assert client.get(path).headers["Location"].startswith("/office?back=")


def test_what_is_not_there_is_not_found(office: FlaskClient) -> None:
    for path in ("/patterns/99", "/patterns/99/compare", "/patterns/99999999999999999999"):
        assert office.get(path).status_code == 404
    assert office.post("/jobs/99/keep-pattern", data={"name": "x"}, headers=ORIGIN).status_code == 404
