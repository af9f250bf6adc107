"""How the machine is called on its network, and where tablets are told to go."""

from pathlib import Path

import pytest

from shoptrack.config import Config
from shoptrack.store.addresses import (
    Reach,
    Watch,
    bracketed,
    listen_on,
    look,
    names_of,
    tablet_addresses,
    whole_address,
)


def config(host: str = "0.0.0.0", port: int = 8750, https_port: int | None = None) -> Config:
    return Config(Path("."), "", host, port, https_port=https_port)


@pytest.mark.parametrize(
    ("machine", "names"),
    [
        ("Shop", ("shop.local", "shop")),
        ("shop.local", ("shop.local", "shop")),
        ("shop.lan.", ("shop.local", "shop", "shop.lan")),
        ("localhost", ()),
        ("localhost.localdomain", ()),
        ("", ()),
        ("odd name!", ()),
        ("schöner", ()),
    ],
)
def test_the_names_of_a_machine(machine: str, names: tuple[str, ...]) -> None:
    """Source of .local: RFC 6762 section 3."""
    assert names_of(machine) == names


def test_this_machine_is_looked_at_without_a_word_sent() -> None:
    """Whatever network it is on: no loopback among the addresses, each of them once."""
    found = look()
    assert not any(a.startswith("127.") or a in ("::1", "0.0.0.0") for a in found.addresses)
    assert len(set(found.addresses)) == len(found.addresses)


def test_the_look_is_kept_for_some_seconds() -> None:
    ticks = iter([0.0, 9.9, 10.0, 10.1])
    looks = iter([Reach(("10.0.0.1",)), Reach(("10.0.0.2",))])
    watch = Watch(lambda: next(ticks), lambda: next(looks))
    assert [watch.reach().addresses[0] for _ in range(4)] == ["10.0.0.1", "10.0.0.1", "10.0.0.2", "10.0.0.2"]


def test_a_machine_alone_sends_tablets_nowhere() -> None:
    reach = Reach(("192.168.1.7",), ("shop.local",))
    for host in ("127.0.0.1", "::1", "localhost", "127.0.0.2"):
        assert tablet_addresses(config(host), reach) == ()
    assert tablet_addresses(config(), Reach()) == ()


def test_one_address_is_told_where_only_one_is_listened_on() -> None:
    reach = Reach(("192.168.1.7", "10.0.0.7"), ("shop.local",))
    assert tablet_addresses(config("10.0.0.7"), reach) == ("http://10.0.0.7:8750", "http://shop.local:8750")


def test_addresses_are_written_as_browsers_write_them() -> None:
    """Source: RFC 3986 section 3.2.2 for brackets, 6.2.3 for the port that is left out."""
    assert whole_address(config(port=80), "shop.local") == "http://shop.local"
    assert whole_address(config(https_port=443), "shop.local") == "https://shop.local"
    assert whole_address(config(port=443), "shop.local") == "http://shop.local:443"
    assert (bracketed("fd00::7"), bracketed("10.0.0.7")) == ("[fd00::7]", "10.0.0.7")


@pytest.mark.parametrize(
    ("host", "places"),
    [
        ("127.0.0.1", ["127.0.0.1"]),
        ("::1", ["::1"]),
        ("0.0.0.0", ["0.0.0.0"]),
        ("::", ["::"]),
        ("192.168.1.7", ["192.168.1.7", "127.0.0.1"]),
    ],
)
def test_the_machine_itself_is_always_listened_to(host: str, places: list[str]) -> None:
    """Else nobody could pair the first tablet."""
    assert list(listen_on(host)) == places
