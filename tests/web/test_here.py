"""The shop behind a request."""

from flask import Flask

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.store.tables import ShopRow
from shoptrack.web import here
from shoptrack.web.here import hold_wall, wall, wall_of
from shoptrack.web.render import Wall


def test_a_request_knows_its_store_and_settings(bare_app: Flask, bare_store: Store, config: Config) -> None:
    with bare_app.test_request_context("/"):
        assert here.store() is bare_store
        assert here.config() is config


def test_the_wall_is_read_once(bare_app: Flask) -> None:
    with bare_app.test_request_context("/"):
        assert wall().zone == "America/New_York"
        assert wall() is wall()


def test_a_page_that_has_read_the_shop_keeps_it(bare_app: Flask) -> None:
    with bare_app.test_request_context("/"):
        hold_wall(None)
        assert wall() == Wall() == wall_of(None)


def test_a_shops_own_units() -> None:
    row = ShopRow(
        name="N", zone="Europe/Oslo", length_unit="mm", temperature_unit="C", currency="NOK", clock_24h=True,
        is_demo=True,
    )  # fmt: skip
    assert wall_of(row) == Wall("N", "Europe/Oslo", "mm", "C", "NOK", True, True)
