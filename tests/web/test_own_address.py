"""The whole address of a page: as the one who asks for it reached this server, or as tablets do."""

from dataclasses import replace

import pytest
from flask import Flask

from shoptrack.config import Config
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store
from shoptrack.web import create_app
from shoptrack.web.own_address import is_only_here, own_address


def test_the_address_is_the_one_that_was_asked(bare_app: Flask) -> None:
    for base in ("http://192.168.1.20:8750", "https://shop.test", "http://[::1]:8750", "http://localhost"):
        with bare_app.test_request_context("/jobs/1/sheet", base_url=base):
            assert own_address("/j/K7") == base + "/j/K7"


def test_printed_at_the_machine_itself_the_code_still_opens_on_a_tablet(
    bare_store: Store, config: Config
) -> None:
    """The office prints at 127.0.0.1; the tablets know the same server by its address on the network."""
    app = create_app(bare_store, replace(config, host="0.0.0.0"))
    app.config["REACH"] = Reach(("192.168.1.20",), ("shop-pc.local",))
    for asked, address in (
        ("http://127.0.0.1:8750", "http://192.168.1.20:8750"),
        ("http://shop-pc.local:8750", "http://shop-pc.local:8750"),
    ):
        with app.test_request_context("/jobs/1/sheet", base_url=asked):
            assert own_address("/j/K7") == address + "/j/K7"


@pytest.mark.parametrize(
    ("address", "only_here"),
    [
        ("http://127.0.0.1:8750/j/K7", True),
        ("http://localhost/j/K7", True),
        ("http://[::1]:8750/", True),
        ("http://192.168.1.20:8750/j/K7", False),
        ("https://shop.test/", False),
    ],
)
def test_an_address_of_this_machine_alone_is_known(address: str, only_here: bool) -> None:
    assert is_only_here(address) is only_here
