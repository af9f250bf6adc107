"""The API as programs and tablets meet it: documents that hold, plain refusals, nothing that breaks."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from shoptrack.config import Config
from shoptrack.web import create_app
from tests.flows.conftest import make_store

NOW = datetime(2025, 3, 4, 14, 10, 20, tzinfo=UTC)
ORIGIN = {"Origin": "http://localhost"}


@pytest.fixture
def app(tmp_path: Path) -> Iterator[Flask]:
    store = make_store(tmp_path / "shop.db")
    made = create_app(store, Config(instance=tmp_path, database_url=""))
    made.config.update(NOW=lambda: NOW)
    yield made
    store.close()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


def at(app: Flask, now: datetime) -> None:
    app.config["NOW"] = lambda: now


def made(kind: str, seq: int, when: datetime = NOW, **said: object) -> dict[str, object]:
    return {"id": f"tap-{seq:05d}", "seq": seq, "kind": kind, "at": when.isoformat(), **said}


def send(client: FlaskClient, *taps: object, when: datetime = NOW) -> TestResponse:
    body = {"device": "tablet", "sent_at": when.isoformat(), "entries": list(taps)}
    return client.post("/api/entries", json=body, headers=ORIGIN)


def post(client: FlaskClient, raw: bytes, mime: str = "application/json") -> TestResponse:
    return client.post("/api/entries", data=raw, content_type=mime, headers=ORIGIN)


def stage(client: FlaskClient, id: int) -> dict[str, object]:
    return next(s for s in client.get("/api/floor").get_json()["stages"] if s["id"] == id)


def test_a_tap_is_answered_and_shown_on_the_floor(client: FlaskClient) -> None:
    """Ann starts the first stage of the table; the floor says so at once."""
    answer = send(client, made("start", 1, person=1, stages=[11]), made("start", 2, person=1, stages=[999]))
    assert answer.status_code == 200
    assert answer.get_json() == {
        "database_id": "a-shop",
        "revision": 2,
        "now": "2025-03-04T14:10:20Z",
        "answers": [
            {"id": "tap-00001", "status": "done"},
            {
                "id": "tap-00002",
                "status": "set aside",
                "reason": "There is no stage 999 in this shop's book.",
            },
        ],
    }
    floor = client.get("/api/floor").get_json()
    ann = {"id": 1, "name": "Ann", "at": [11], "shop_time": None, "since": "2025-03-04T14:10:20Z"}
    assert floor["people"][0] == ann
    assert (floor["revision"], floor["now"]) == (2, "2025-03-04T14:10:20Z")
    assert stage(client, 11)["state"] == "in hand"
    assert stage(client, 11)["people"] == [1]
    assert stage(client, 12)["state"] == "waiting"
    assert stage(client, 12)["waits_for"] == [{"why": "not done", "stage": 11, "until": None, "count": None}]
    assert stage(client, 21)["state"] == "ready"


def test_closed_jobs_are_not_on_the_floor(client: FlaskClient) -> None:
    assert {s["job"] for s in client.get("/api/floor").get_json()["stages"]} == {1, 2}


def test_shop_time_is_named(client: FlaskClient) -> None:
    send(client, made("start", 1, person=2, text="sweeping"))
    ben = client.get("/api/floor").get_json()["people"][1]
    assert (ben["at"], ben["shop_time"]) == ([], "sweeping")


@pytest.mark.parametrize("path", ["/api/floor", "/api/jobs", "/api/jobs/1"])
def test_unchanged_is_a_304_and_a_tap_or_a_minute_changes_it(
    app: Flask, client: FlaskClient, path: str
) -> None:
    first = client.get(path)
    known = {"If-None-Match": first.headers["ETag"]}
    unchanged = client.get(path, headers=known)
    assert (unchanged.status_code, unchanged.data) == (304, b"")
    assert unchanged.headers["ETag"] == first.headers["ETag"]
    send(client, made("start", 1, person=1, stages=[11]))
    assert client.get(path, headers=known).status_code == 200
    at(app, NOW + timedelta(minutes=1))
    assert client.get(path, headers={"If-None-Match": client.get(path).headers["ETag"]}).status_code == 304


@settings(
    max_examples=25,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(seconds=st.lists(st.integers(0, 240), min_size=2, max_size=6))
def test_equal_tags_are_equal_documents(app: Flask, client: FlaskClient, seconds: list[int]) -> None:
    """Asked at random instants within four minutes, with a tap in the middle of one."""
    send(client, made("start", 1, person=1, stages=[11]))
    seen: dict[str, bytes] = {}
    for second in seconds:
        at(app, NOW + timedelta(seconds=second))
        answer = client.get("/api/floor")
        assert seen.setdefault(answer.headers["ETag"], answer.data) == answer.data


def test_jobs_are_listed_and_one_is_told_whole(client: FlaskClient) -> None:
    send(client, made("start", 1, NOW - timedelta(minutes=30), person=1, stages=[11]))
    send(client, made("finish", 2, person=1, stages=[11]))
    jobs = client.get("/api/jobs").get_json()["jobs"]
    assert [(j["tag"], j["stages_done"], j["stages"]) for j in jobs] == [("K7", 1, 4), ("M3", 0, 4)]
    one = client.get("/api/jobs/1").get_json()
    assert [s["state"] for s in one["stages"]] == ["done", "ready", "waiting", "waiting"]
    assert one["work"][0]["attended_min"] == 30
    assert one["job"]["customer"] == "A customer"


def test_a_closed_job_can_be_asked_for(client: FlaskClient) -> None:
    one = client.get("/api/jobs/3").get_json()
    assert one["job"]["closed_at"] == "2025-01-01T00:00:00Z"
    assert len(one["stages"]) == 4


@pytest.mark.parametrize("id", ["4", "0", "-1", "1.0", "x", "99999999999999999999", "²", "%00"])
def test_no_such_job_is_a_problem_document(client: FlaskClient, id: str) -> None:
    """RFC 9457: media type application/problem+json; members type, title, status, detail."""
    answer = client.get(f"/api/jobs/{id}")
    assert answer.status_code == 404
    assert answer.content_type == "application/problem+json"
    problem = {"type": "about:blank", "title": "Not here", "status": 404, "detail": "There is no such job."}
    assert answer.get_json() == problem


HEAD = b'{"device": "t", "sent_at": "2025-03-04T14:10:00Z", "entries": '
BAD_MESSAGES = {
    "nothing": (b"", 400),
    "no JSON": (b"{", 400),
    "a number": (b"5", 400),
    "NaN": (HEAD + b'[{"count": NaN}]}', 400),
    "a member twice": (HEAD + b'[{"id": "a", "id": "b"}]}', 400),
    "not UTF-8": (HEAD + b'["\xff"]}', 400),
    "UTF-16": ((HEAD + b"[]}").decode().encode("utf-16"), 400),
    "a mark before it": (b"\xef\xbb\xbf" + HEAD + b"[]}", 400),
    "deep lists": (HEAD + b"[" * 100_000 + b"]" * 100_000 + b"}", 400),
    "deeper than needed": (HEAD + b"[" * 40 + b"]" * 40 + b"}", 400),
    "deep objects": (b'{"a":' * 50_000 + b"1" + b"}" * 50_000, 400),
    "five thousand digits": (HEAD + b'[{"count": ' + b"9" * 5000 + b"}]}", 400),
    "501 entries": (HEAD + b"[" + b",".join([b"{}"] * 501) + b"]}", 400),
    "too large": (HEAD + b'["' + b"x" * 3_000_000 + b'"]}', 413),
}


@pytest.mark.parametrize(("raw", "status"), BAD_MESSAGES.values(), ids=list(BAD_MESSAGES))
def test_a_broken_message_is_refused_and_nothing_written(
    client: FlaskClient, raw: bytes, status: int
) -> None:
    answer = post(client, raw)
    assert answer.status_code == status
    assert answer.content_type == "application/problem+json"
    problem = answer.get_json()
    assert (problem["type"], problem["status"]) == ("about:blank", status)
    assert problem["detail"].endswith(".")
    assert client.get("/api/floor").get_json()["revision"] == 1


@pytest.mark.parametrize(
    "mime", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_another_content_type_is_refused(client: FlaskClient, mime: str) -> None:
    answer = post(client, HEAD + b"[]}", mime)
    assert (answer.status_code, answer.content_type) == (415, "application/problem+json")


ODD_TAPS = {
    "half a letter": rb'{"id": "\ud800aaaaaaaa", "text": "\udfff"}',
    "a count beyond floats": b'{"id": "aaaaaaaa", "count": 1e999}',
    "a hundred digits": b'{"id": "aaaaaaaa", "seq": ' + b"9" * 100 + b"}",
    "a zero byte": rb'{"id": "aaaa\u0000aaaa"}',
    "a long id": b'{"id": "' + b"a" * 100_000 + b'"}',
    "an id that is a list": b'{"id": [1]}',
    "a list": b"[[[[]]]]",
    "null": b"null",
}


@pytest.mark.parametrize("raw", ODD_TAPS.values(), ids=list(ODD_TAPS))
def test_an_odd_tap_is_set_aside_and_answered_the_same_again(client: FlaskClient, raw: bytes) -> None:
    message = HEAD + b"[" + raw + b"]}"
    first, again = post(client, message), post(client, message)
    assert first.status_code == again.status_code == 200
    assert first.get_json()["answers"][0]["status"] == "set aside"
    assert first.get_json() == again.get_json()


def test_a_message_from_another_page_is_refused(client: FlaskClient) -> None:
    for headers in ({}, {"Origin": "http://localhost:9"}, {"Origin": "null"}):
        answer = client.post(
            "/api/entries", data=HEAD + b"[]}", content_type="application/json", headers=headers
        )
        assert (answer.status_code, answer.content_type) == (403, "application/problem+json")


def test_an_unknown_address_and_method_are_problem_documents(client: FlaskClient) -> None:
    nothing, wrong = client.get("/api/nothing"), client.delete("/api/floor", headers=ORIGIN)
    assert (nothing.status_code, nothing.content_type) == (404, "application/problem+json")
    assert (wrong.status_code, wrong.content_type) == (405, "application/problem+json")
    assert "GET" in wrong.headers["Allow"]


def test_letters_come_back_as_they_were_sent(client: FlaskClient) -> None:
    send(client, made("start", 1, person=1, text="Späne fegen"))
    assert client.get("/api/floor").get_json()["people"][0]["shop_time"] == "Späne fegen"
