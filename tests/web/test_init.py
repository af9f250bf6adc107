"""The app: every page of the shop answers, and nothing else does."""

from importlib import import_module
from pkgutil import walk_packages

from flask import Flask
from flask.testing import FlaskClient

from shoptrack import web
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


def test_every_page_answers(office: FlaskClient, day: BusyDay) -> None:
    for page in PAGES:
        assert office.get(page).status_code == 200, page


def test_pages_do_not_answer_before_the_shop_is_set_up_with_anything_but_a_sentence(
    bare: FlaskClient,
) -> None:
    """A shop with a name and nothing else still has a Floor."""
    assert bare.get("/").status_code == 200


def test_each_blueprint_is_there_once(bare_app: Flask) -> None:
    """No module of the pages has a blueprint that is not registered."""
    names = [m.name for m in walk_packages(web.__path__, f"{web.__name__}.")]
    found = {getattr(import_module(name), "bp", None) for name in names} - {None}
    assert found == set(web.PAGES) == set(bare_app.blueprints.values())
    assert len(found) > 20


def test_every_page_has_a_title_block_with_the_ways_to_the_others(office: FlaskClient, day: BusyDay) -> None:
    for page in ("/", "/jobs", "/jobs/1", "/jobs/new", "/set-aside"):
        text = office.get(page).text
        assert 'aria-label="Pages"' in text, page
        assert "Sedge Lane Joinery" in text, page
