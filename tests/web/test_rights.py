"""Who may open the pages of the office, in whose name they are changed, and that no page was forgotten."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.web.rights import LEAST, RANKS, acting, device_kind, least_kind, may_see_money, needs_office
from tests.joinery import Joinery
from tests.web.conftest import ORIGIN


def test_the_office_asks_who_it_is_where_several_work(joinery: Joinery, bare_app: Flask) -> None:
    with bare_app.test_request_context("/shop?x=1&y=2"):
        answer = needs_office()
        assert answer is not None
        assert answer.location == "/office?back=%2Fshop%3Fx%3D1%26y%3D2"
        assert acting() is None
        assert (device_kind(), may_see_money()) == ("office", True)


def test_a_shop_without_people_is_open(bare_app: Flask) -> None:
    with bare_app.test_request_context("/shop"):
        assert needs_office() is None


def test_a_tapped_name_opens_it(client: FlaskClient) -> None:
    client.post("/office", data={"person": "1"}, headers=ORIGIN)
    with client.session_transaction() as kept:
        assert kept["person"] == 1


def test_no_page_was_forgotten(bare_app: Flask) -> None:
    """Each is in the table, by itself or by its blueprint. One that is not is the office's, but a slip."""
    endpoints = {rule.endpoint for rule in bare_app.url_map.iter_rules()}
    assert {e for e in endpoints if e not in LEAST and e.partition(".")[0] not in LEAST} == set()


def test_the_table_speaks_of_pages_that_there_are(bare_app: Flask) -> None:
    endpoints = {rule.endpoint for rule in bare_app.url_map.iter_rules()}
    known = endpoints | set(bare_app.blueprints)
    assert {name for name in LEAST if name not in known} == set()
    assert set(LEAST.values()) <= set(RANKS)


def test_a_page_that_nobody_knows_is_the_offices() -> None:
    assert least_kind("brand_new.page") == "office"


def test_what_writes_is_not_the_walls(bare_app: Flask) -> None:
    """The wall chooses its paper, which is kept in its own cookie alone."""
    writes = {r.endpoint for r in bare_app.url_map.iter_rules() if "POST" in (r.methods or ())}
    assert {e for e in writes if RANKS[least_kind(e)] <= RANKS["wall"]} == {
        "floor.choose_look",
        "pairing.take_code",
    }


@pytest.mark.parametrize(
    "endpoint", ["devices.list_all", "office.ask_pin", "jobs.ask_new_job", "files.show_files"]
)
def test_what_has_money_or_settings_is_the_offices(endpoint: str) -> None:
    assert least_kind(endpoint) == "office"
