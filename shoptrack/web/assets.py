"""A static file's name to an address that changes when the file does, so that it may be kept for ever."""

import hashlib
from functools import cache
from pathlib import Path

from flask import Flask, url_for

FOLDER = Path(__file__).parent / "static"


@cache
def stamp(name: str) -> str:
    """The first ten figures of the file's SHA-256."""
    return hashlib.sha256((FOLDER / name).read_bytes()).hexdigest()[:10]


def asset(name: str) -> str:
    """The address of a static file, with its stamp."""
    return url_for("static", filename=name, v=stamp(name))


def hang(app: Flask) -> None:
    """Give the templates ``asset``."""
    app.jinja_env.globals["asset"] = asset
