"""The installed plotly package to its script: an address of its own, packed once, kept by browsers."""

import gzip
import re
from functools import cache
from importlib.metadata import distribution
from pathlib import Path
from threading import Lock

from flask import Response, request

from shoptrack.errors import NotFound

PACKAGE, FILE = "plotly", "plotly/package_data/plotly.min.js"
EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
"""The SHA-256 of nothing: the script adds an empty style and writes its rules into that."""

_OWN_STYLE = re.compile(rb'document\.getElementById\("([0-9a-f]{64})"\)')
_turn = Lock()


def version() -> str:
    """The version of the package, which is in the address of its script."""
    return distribution(PACKAGE).version


def address() -> str:
    """Where the script is."""
    return f"/times/plotly/{version()}.js"


@cache
def file() -> Path:
    """The script as it was installed. The package itself is never imported."""
    return Path(str(distribution(PACKAGE).locate_file(FILE)))


@cache
def placeholders() -> tuple[str, ...]:
    """Ids that the script looks for before it adds a style sheet, for maps, that our pages refuse.

    Where an element has such an id already it adds nothing: the page has empty ones.
    """
    return tuple(dict.fromkeys(found.decode() for found in _OWN_STYLE.findall(file().read_bytes())))


def allow_charts(policy: str) -> str:
    """The content policy of a page with charts: one empty style, and pictures that the page made itself."""
    return policy.replace("style-src 'self'", f"style-src 'self' {EMPTY_STYLE}").replace(
        "img-src 'self' data:", "img-src 'self' data: blob:"
    )


def give(asked: str) -> Response:
    """The script of a version. Raises NotFound for any other than the installed one."""
    if asked != version():
        raise NotFound("That is the script of another version.")
    packs = bool(request.accept_encodings["gzip"])
    answer = Response(_packed() if packs else file().read_bytes(), content_type="text/javascript")
    if packs:
        answer.headers["Content-Encoding"] = "gzip"
    answer.vary.add("Accept-Encoding")
    answer.headers["Cache-Control"] = "public, max-age=31536000, immutable"
    return answer


def _packed() -> bytes:
    with _turn:  # two tablets that ask at once: the second takes what was packed for the first
        return _pack()


@cache
def _pack() -> bytes:
    return gzip.compress(file().read_bytes(), 9, mtime=0)
