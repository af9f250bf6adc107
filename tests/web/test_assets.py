"""Addresses of static files that change with the file."""

import hashlib

from flask import Flask

from shoptrack.web.assets import FOLDER, asset, stamp


def test_an_address_carries_the_files_own_stamp(bare_app: Flask) -> None:
    raw = (FOLDER / "css" / "base.css").read_bytes()
    assert stamp("css/base.css") == hashlib.sha256(raw).hexdigest()[:10]
    with bare_app.test_request_context("/"):
        assert asset("css/base.css") == f"/static/css/base.css?v={stamp('css/base.css')}"


def test_every_file_a_page_names_is_there(bare_app: Flask) -> None:
    client = bare_app.test_client()
    for name in (
        "css/tokens.css",
        "css/base.css",
        "css/floor.css",
        "css/jobs.css",
        "js/live.js",
        "stick.svg",
    ):
        with bare_app.test_request_context("/"):
            address = asset(name)
        with client.get(address) as answer:
            assert answer.status_code == 200
            assert len(answer.data) < 16_000
