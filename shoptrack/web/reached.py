"""How this machine can be reached now, to the addresses that tablets are told and the hosts that are ours."""

import re
import time
from dataclasses import replace
from typing import cast

from flask import Flask, current_app, request

from shoptrack.config import is_loopback
from shoptrack.store.addresses import EVERYWHERE, Reach, Watch, bracketed, tablet_addresses
from shoptrack.web.here import config

PORT = re.compile(r"(:\d{1,5})?")
OWN_HOSTS = ("127.0.0.1", "localhost", "[::1]")


def reach() -> Reach:
    """The addresses and names of this machine; REACH in the settings overrides what it says itself."""
    said = current_app.config.get("REACH")
    return cast(Reach, said) if said is not None else current_app.extensions["shoptrack.watch"].reach()


def hosts() -> tuple[str, ...]:
    """The hosts that this server answers to: its own, and where tablets may come those of the network."""
    own = () if config().host in EVERYWHERE else (bracketed(config().host),)
    near = reach().hosts() if config().lan else ()
    return (*OWN_HOSTS, *own, *near, *current_app.config.get("EXTRA_HOSTS", ()))


def addresses() -> tuple[str, ...]:
    """Where tablets find the shop, the likeliest first; empty where they can't."""
    return tablet_addresses(config(), reach())


def plain_addresses() -> tuple[str, ...]:
    """The same by http, where a tablet begins that does not trust the shop's certificate yet."""
    return tablet_addresses(replace(config(), https_port=None), reach())


def is_here() -> bool:
    """Whether who asks sits at this very machine: by its own address, and under its own name.

    The name counts too, so that no page from elsewhere that was pointed at this machine passes for it.
    """
    name = host_name(request.headers.get("Host", ""))
    return name is not None and is_loopback(name) and is_loopback(request.remote_addr or "")


def host_name(host: str) -> str | None:
    """The name without its port, in small letters; None where it is no name."""
    name, bracket, rest = host.lower().partition("]")
    if bracket:
        return name + bracket if name.startswith("[") and PORT.fullmatch(rest) else None
    name, colon, port = host.lower().partition(":")
    return name if name and PORT.fullmatch(colon + port) else None


def hang(app: Flask) -> None:
    """Give an app its look at the network."""
    app.extensions["shoptrack.watch"] = Watch(time.monotonic)
