"""Answers packed by gzip: the same text, for who can read it, with validators that still say "unchanged"."""

import gzip
import re
from pathlib import Path

import pytest
from flask import Flask, Response
from flask.testing import FlaskClient

from shoptrack.web import packed
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import BusyDay, Joinery

PAGES = (
    "/",
    "/bench",
    "/bench/1",
    "/jobs",
    "/api/floor",
    "/api/jobs",
    "/times",
    "/times/1",
    "/times/record",
    "/api/times",
    "/static/css/base.css",
    "/static/js/outbox.js",
)
PACK = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.mark.parametrize("path", PAGES)
def test_what_is_unpacked_is_what_is_sent_plain(client: FlaskClient, day: BusyDay, path: str) -> None:
    with client.get(path) as plain, client.get(path, headers=PACK) as small:
        assert "Content-Encoding" not in plain.headers
        assert small.headers["Content-Encoding"] == "gzip"
        assert int(small.headers["Content-Length"]) == len(small.data) < len(plain.data) / 2
        if not path.startswith("/bench"):  # its buttons have ids of their own each time
            assert gzip.decompress(small.data) == plain.data
        for answer in (plain, small):
            assert "Accept-Encoding" in answer.headers["Vary"]


@pytest.mark.parametrize(
    "path", ["/quotes", "/quotes/1/sheet", "/quotes/1/own-sheet", "/shop/terms", "/api/quotes/1"]
)
def test_the_offices_pages_too(office: FlaskClient, joinery: Joinery, path: str) -> None:
    made(joinery, tray(joinery, price_all(joinery)))
    plain, small = office.get(path), office.get(path, headers=PACK)
    assert "Content-Encoding" not in plain.headers
    assert small.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(small.data) == plain.data
    assert len(small.data) < len(plain.data) / 2


@pytest.mark.parametrize("path", ["/", "/api/floor", "/static/css/base.css"])
def test_unchanged_is_304_by_either_validator(client: FlaskClient, day: BusyDay, path: str) -> None:
    """The weak one of a packed answer, and the strong one that a page's own script makes from its tag."""
    with client.get(path) as plain, client.get(path, headers=PACK) as small:
        strong, weak = plain.headers["ETag"], small.headers["ETag"]
    assert weak == f"W/{strong}"
    for tag in (strong, weak, f'"other", {weak}'):
        for more in ({}, PACK):
            with client.get(path, headers={"If-None-Match": tag, **more}) as again:
                assert (again.status_code, again.data) == (304, b""), tag
                assert again.headers["ETag"] == (weak if more else strong)
                assert "Accept-Encoding" in again.headers["Vary"]
                assert "Content-Encoding" not in again.headers
    with client.get(path, headers={"If-None-Match": 'W/"other"', **PACK}) as changed:
        assert changed.status_code == 200


def test_the_bench_is_unchanged_by_the_tag_in_its_page(client: FlaskClient, day: BusyDay) -> None:
    tag = re.findall(r'data-etag="([^"]+)"', client.get("/bench/1").text)[0]
    for said in (f'"{tag}"', f'W/"{tag}"'):
        assert client.get("/bench/1", headers={"If-None-Match": said, **PACK}).status_code == 304


@pytest.mark.parametrize("said", ["", "identity", "br", "gzip;q=0", "identity;q=1, gzip;q=0"])
def test_who_can_not_unpack_is_sent_plain_text(client: FlaskClient, day: BusyDay, said: str) -> None:
    answer = client.get("/", headers={"Accept-Encoding": said})
    assert "Content-Encoding" not in answer.headers
    assert answer.data.startswith(b"<!doctype html>")


def test_a_look_at_the_head_alone_says_the_same(client: FlaskClient, day: BusyDay) -> None:
    got, looked = client.get("/", headers=PACK), client.head("/", headers=PACK)
    assert looked.data == b""
    for name in ("Content-Encoding", "Content-Length", "ETag", "Vary"):
        assert looked.headers[name] == got.headers[name]


def answer_with(app: Flask, path: str, answer: Response) -> Response:
    app.add_url_rule(path, path, lambda: answer)
    return app.test_client().get(path, headers=PACK)


@pytest.mark.parametrize(
    "kind", ["image/jpeg", "application/zip", "application/pdf", "application/octet-stream"]
)
def test_what_is_packed_already_is_left_alone(bare_app: Flask, kind: str) -> None:
    answer = answer_with(bare_app, "/big", Response(b"x" * 5000, content_type=kind))
    assert "Content-Encoding" not in answer.headers
    assert "Accept-Encoding" not in answer.headers.get("Vary", "")


def test_a_stream_stays_a_stream(bare_app: Flask) -> None:
    answer = answer_with(
        bare_app, "/stream", Response((b"x" * 900 for _ in range(9)), content_type="text/html")
    )
    assert "Content-Encoding" not in answer.headers
    assert len(answer.data) == 8100


@pytest.mark.parametrize(("size", "is_packed"), [(1023, False), (1024, True)])
def test_what_is_short_is_not_worth_it(bare_app: Flask, size: int, is_packed: bool) -> None:
    answer = answer_with(bare_app, "/short", Response(b"x" * size, content_type="text/html"))
    assert ("Content-Encoding" in answer.headers) is is_packed


def test_a_part_of_a_file_is_not_packed(client: FlaskClient) -> None:
    with client.get("/static/css/base.css", headers={"Range": "bytes=0-99", **PACK}) as answer:
        assert answer.status_code in (200, 206)
        assert answer.status_code == 200 or (len(answer.data), "Content-Encoding" in answer.headers) == (
            100,
            False,
        )


def test_a_file_is_packed_once(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packed, "_files", {})
    calls: list[int] = []
    real = gzip.compress
    monkeypatch.setattr(packed.gzip, "compress", lambda *a, **k: calls.append(1) or real(*a, **k))
    for _ in range(3):
        with client.get("/static/css/base.css", headers=PACK) as answer:
            raw = Path(packed.__file__).parent / "static" / "css" / "base.css"
            assert gzip.decompress(answer.data) == raw.read_bytes()
    assert len(calls) == 1


def test_a_refusal_is_packed_too(client: FlaskClient) -> None:
    answer = client.get("/nothing-here", headers=PACK)
    assert (answer.status_code, answer.headers["Content-Encoding"]) == (404, "gzip")
    assert b"Not here" in gzip.decompress(answer.data)


def test_a_refusal_where_files_lie_is_not_kept(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """Anybody may ask for any name there: each would stay in memory, and be shown to the next who asks."""
    monkeypatch.setattr(packed, "_files", {})
    answer = client.get("/static/nothing-here.css", headers=PACK)
    assert (answer.status_code, answer.headers["Content-Encoding"]) == (404, "gzip")
    assert packed._files == {}
