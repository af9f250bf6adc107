"""Hosts, origins, headers, limits and the secret key."""

import stat
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.web.security import HEADERS, secret_key
from tests.web.conftest import ORIGIN


@pytest.mark.parametrize("host", ["127.0.0.1:8750", "localhost", "[::1]:8750"])
def test_own_hosts_are_answered(bare: FlaskClient, host: str) -> None:
    assert bare.get("/nothing", headers={"Host": host}).status_code == 404


@pytest.mark.parametrize("host", ["shop.example", "127.0.0.1.example:8750", "evil[::1]", ""])
def test_a_foreign_host_is_refused(bare: FlaskClient, host: str) -> None:
    """A page elsewhere whose name was pointed at this machine."""
    assert bare.get("/nothing", headers={"Host": host}).status_code == 400


def test_a_host_can_be_added(bare_app: Flask) -> None:
    client = bare_app.test_client()
    assert client.get("/nothing", headers={"Host": "shop.test:80"}).status_code == 400
    bare_app.config["EXTRA_HOSTS"] = ["shop.test"]
    assert client.get("/nothing", headers={"Host": "shop.test:80"}).status_code == 404


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 403),
        (ORIGIN, 404),
        ({"Origin": "http://localhost:81"}, 403),
        ({"Origin": "https://localhost"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec-Fetch-Site": "same-origin"}, 404),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Origin": "http://elsewhere.example", "Sec-Fetch-Site": "same-origin"}, 403),
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
def test_a_write_needs_our_own_origin(
    bare: FlaskClient, method: str, headers: dict[str, str], status: int
) -> None:
    """404 is past the check: the address does not exist."""
    assert bare.open("/nothing", method=method, headers=headers).status_code == status


def test_every_answer_carries_the_headers(bare: FlaskClient) -> None:
    for path in ("/nothing", "/static/css/base.css", "/api/nothing"):
        with bare.get(path) as answer:
            for name, value in HEADERS.items():
                assert answer.headers[name] == value, (path, name)
            assert "unsafe" not in answer.headers["Content-Security-Policy"]


def test_only_stamped_files_are_kept_for_ever(bare: FlaskClient) -> None:
    with bare.get("/static/css/base.css?v=abc") as stamped:
        assert "immutable" in stamped.headers["Cache-Control"]
    with bare.get("/static/css/base.css") as plain:
        assert "immutable" not in plain.headers["Cache-Control"]
    assert bare.get("/nothing").headers["Cache-Control"] == "no-store"


def test_a_request_may_be_two_megabytes(bare_app: Flask) -> None:
    @bare_app.post("/swallow")
    def swallow() -> str:
        from flask import request

        return str(len(request.get_data()))

    client = bare_app.test_client()
    assert client.post("/swallow", data=b"x" * 2_097_152, headers=ORIGIN).status_code == 200
    assert client.post("/swallow", data=b"x" * 2_097_153, headers=ORIGIN).status_code == 413


def test_the_key_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    file = tmp_path / "secret_key"
    key = secret_key(file)
    assert len(key) == 64
    assert secret_key(file) == key
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_torn_key_is_made_anew(tmp_path: Path) -> None:
    """The machine lost power while the key was written."""
    file = tmp_path / "secret_key"
    file.write_text("ab")
    assert len(secret_key(file)) == 64
    assert secret_key(file) == file.read_text()


def test_refusals_under_api_are_problem_documents(bare: FlaskClient) -> None:
    """Members as in RFC 9457 section 3.1."""
    answer = bare.post("/api/nothing")
    assert answer.content_type == "application/problem+json"
    problem = answer.get_json(force=True)
    assert problem["status"] == answer.status_code == 403
    assert {"type", "title", "status", "detail"} == set(problem)
