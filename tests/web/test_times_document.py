from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from tests.joinery import Joinery
from tests.times import bring_in, mill

Asked = Callable[..., list[dict[str, object]]]


def kinds(client: FlaskClient, query: str = "") -> list[dict[str, object]]:
    answer = client.get(f"/api/times{query}")
    assert answer.status_code == 200, answer.text
    found: list[dict[str, object]] = answer.get_json()["kinds"]
    return found


def test_nothing_logged(client: FlaskClient) -> None:
    found = kinds(client)
    assert [one["name"] for one in found] == ["milling", "glue-up", "carving", "inlay", "finishing"]
    assert found[0] == {
        "kind": 1,
        "name": "milling",
        "unit": "boards",
        "attendance": "hands-on",
        "retired": False,
        "logs": 0,
        "imported": 0,
        "set_aside": 0,
        "rule": {"setup_min": 15, "rate_min": 10},
        "learned": None,
        "usual_quantity": None,
        "foretold": None,
        "patterns": [],
    }


def test_what_was_learned(client: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [70.0] * 12, quantity=3, pattern=1)
    found = kinds(client)[1]
    assert (found["logs"], found["imported"], found["usual_quantity"]) == (12, 12, 3)
    foretold = found["foretold"]
    assert isinstance(foretold, dict)
    assert foretold["hands_min"]["p10"] < foretold["hands_min"]["p50"] < foretold["hands_min"]["p90"]
    assert foretold["rests_on"].startswith("12 logged, scaled by joints: half under")
    assert [(p["name"], p["orders"], p["logs"]) for p in found["patterns"]] == [("tray", 12, 12)]  # type: ignore[attr-defined]


def test_one_kind_at_a_measure_of_a_pattern(client: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [70.0] * 12, quantity=3, pattern=1)
    (usual,) = kinds(client, "?kind=2&pattern=1")
    (more,) = kinds(client, "?kind=2&pattern=1&quantity=9")
    assert usual["foretold"]["hands_min"]["p50"] < more["foretold"]["hands_min"]["p50"]  # type: ignore[index]
    assert more["foretold"]["rests_on"].startswith("12 logged, 12 of this pattern")  # type: ignore[index]
    (other,) = kinds(client, "?kind=2&pattern=2&quantity=9")
    assert other["foretold"]["rests_on"].startswith("untested: ")  # type: ignore[index]
    assert other["patterns"] == []
    (nothing,) = kinds(client, "?kind=1&quantity=4")
    assert nothing["foretold"]["hands_min"]["p50"] == 55  # type: ignore[index] # the rule of thumb: 15 + 4·10


@pytest.mark.parametrize("query", ["kind=99", "pattern=99", "kind=2147483647"])
def test_what_is_not_there(client: FlaskClient, query: str) -> None:
    answer = client.get(f"/api/times?{query}")
    assert (answer.status_code, answer.content_type) == (404, "application/problem+json")


@pytest.mark.parametrize(
    "query",
    ["kind=x", "kind=", "kind=0", "quantity=0", "quantity=-1", "quantity=nan", "quantity=1e9", "pattern=1.5"],
)
def test_what_can_not_be_meant(client: FlaskClient, query: str) -> None:
    answer = client.get(f"/api/times?{query}")
    assert (answer.status_code, answer.content_type) == (400, "application/problem+json")
    assert answer.get_json()["detail"].endswith(".")


def test_unchanged_is_a_304(client: FlaskClient, joinery: Joinery) -> None:
    known = {"If-None-Match": client.get("/api/times").headers["ETag"]}
    assert client.get("/api/times", headers=known).status_code == 304
    mill(joinery, "a tray", 60, -1)
    assert client.get("/api/times", headers=known).status_code == 200
