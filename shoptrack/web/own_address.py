"""A path of ours to the whole address that a phone or tablet in the shop is to open."""

from urllib.parse import urlsplit

from flask import request

from shoptrack.config import is_loopback
from shoptrack.web import reached


def own_address(path: str) -> str:
    """The path at the address that this page was asked for at; at this very machine, the tablets' one.

    Where no tablet can reach this machine, its own address is all there is.
    """
    for tablets in reached.addresses() if is_only_here(request.host_url) else ():
        return tablets + path
    return request.host_url.rstrip("/") + path


def is_only_here(address: str) -> bool:
    """Whether an address works on the machine that serves it, and on no tablet."""
    return is_loopback(reached.host_name(urlsplit(address).netloc) or "")
