"""The app: every page of the shop answers, and nothing else does."""

from flask import Flask
from flask.testing import FlaskClient

from tests.joinery import BusyDay

PAGES = (
    "/",
    "/floor",
    "/bench",
    "/bench/1",
    "/jobs",
    "/jobs/1",
    "/jobs/new",
    "/set-aside",
    "/api/floor",
    "/api/jobs",
)


def test_every_page_answers(client: FlaskClient, day: BusyDay) -> None:
    for page in PAGES:
        assert client.get(page).status_code == 200, page


def test_pages_do_not_answer_before_the_shop_is_set_up_with_anything_but_a_sentence(
    bare: FlaskClient,
) -> None:
    """A shop with a name and nothing else still has a Floor."""
    assert bare.get("/").status_code == 200


def test_each_blueprint_is_there_once(bare_app: Flask) -> None:
    assert set(bare_app.blueprints) == {"floor", "bench", "jobs", "api"}


def test_every_page_has_a_title_block_with_the_ways_to_the_others(client: FlaskClient, day: BusyDay) -> None:
    for page in ("/", "/jobs", "/jobs/1", "/jobs/new", "/set-aside"):
        text = client.get(page).text
        assert 'aria-label="Pages"' in text, page
        assert "Sedge Lane Joinery" in text, page
