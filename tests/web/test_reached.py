"""What this server answers to, and who sits at its own machine."""

import pytest
from flask import Flask

from shoptrack.config import Config
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store
from shoptrack.web.reached import addresses, host_name, hosts, is_here, plain_addresses
from tests.web.tablets import open_shop


def test_alone_it_answers_to_its_own_names(bare_app: Flask) -> None:
    bare_app.config["REACH"] = Reach(("192.168.1.7",), ("shop.local",))
    with bare_app.test_request_context("/"):
        assert set(hosts()) == {"127.0.0.1", "localhost", "[::1]"}
        assert addresses() == ()


def test_on_the_network_it_answers_to_what_it_is_called_there(bare_store: Store, config: Config) -> None:
    with open_shop(bare_store, config).test_request_context("/"):
        assert {"192.168.1.7", "[fd00::7]", "shop.local", "shop"} < set(hosts())
        assert "0.0.0.0" not in hosts()
        assert addresses() == (
            "http://192.168.1.7:8750",
            "http://[fd00::7]:8750",
            "http://shop.local:8750",
            "http://shop:8750",
        )


def test_by_https_the_addresses_are_of_that(bare_store: Store, config: Config) -> None:
    with open_shop(bare_store, config, https=True).test_request_context("/"):
        assert addresses()[0] == "https://192.168.1.7:8751"
        assert plain_addresses()[0] == "http://192.168.1.7:8750"


@pytest.mark.parametrize(
    ("host", "peer", "here"),
    [
        ("127.0.0.1:8750", "127.0.0.1", True),
        ("localhost", "127.0.0.9", True),
        ("[::1]:8750", "::1", True),
        ("127.0.0.1:8750", "192.168.1.50", False),
        ("192.168.1.7:8750", "127.0.0.1", False),
        ("localhost.example", "127.0.0.1", False),
        ("", "127.0.0.1", False),
    ],
)
def test_here_is_by_name_and_by_address(bare_app: Flask, host: str, peer: str, here: bool) -> None:
    with bare_app.test_request_context("/", headers={"Host": host}, environ_base={"REMOTE_ADDR": peer}):
        assert is_here() is here


@pytest.mark.parametrize(
    ("host", "name"),
    [
        ("Shop.Local:80", "shop.local"),
        ("[FD00::7]:8750", "[fd00::7]"),
        ("shop.local:", None),
        ("shop:80:80", None),
        ("[::1", None),
        ("a]b", None),
        (":80", None),
    ],
)
def test_a_host_is_read_strictly(host: str, name: str | None) -> None:
    assert host_name(host) == name
