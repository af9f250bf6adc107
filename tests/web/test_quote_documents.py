"""Quotes as documents: as they were kept, true to the API document, and for the office alone."""

from typing import Any

import jsonschema_rs
import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.config import Config
from shoptrack.flows.quoting import answers, drafts
from shoptrack.store.db import Store
from shoptrack.store.pins import derive, put
from shoptrack.web.openapi import document
from tests.flows.quoting.shop import ad_hoc, kept, made, out, price_all, tray
from tests.joinery import NOW, UNA, Joinery
from tests.web.tablets import office_here, open_shop, paired


@pytest.fixture
def quoted(joinery: Joinery) -> dict[str, int]:
    """A draft of two trays, and a shelf that is out."""
    wood = price_all(joinery)
    return {
        "draft": made(joinery, tray(joinery, wood), "1" * 32),
        "out": out(joinery, ad_hoc(joinery), "2" * 32),
    }


def meets(said: Any, shape: str) -> bool:
    """Whether an answer is as the API document says."""
    schemas = document()["components"]["schemas"]
    schema = {"$ref": f"#/components/schemas/{shape}", "components": {"schemas": schemas}}
    return bool(jsonschema_rs.is_valid(schema, said))


def test_all_quotes_or_those_of_one_standing(client: FlaskClient, quoted: dict[str, int]) -> None:
    said = client.get("/api/quotes").json
    assert said is not None
    assert meets(said, "QuotesDoc")
    assert not meets({**said, "more": 1}, "QuotesDoc")
    assert [(q["id"], q["standing"]) for q in said["quotes"]] == [
        (quoted["out"], "out"),
        (quoted["draft"], "draft"),
    ]
    drafts_only = client.get("/api/quotes?standing=draft").json
    assert drafts_only is not None
    assert [q["title"] for q in drafts_only["quotes"]] == ["two trays"]
    wrong = client.get("/api/quotes?standing=maybe")
    assert (wrong.status_code, wrong.content_type) == (400, "application/problem+json")


def test_one_quote_says_what_was_kept_and_no_more(
    client: FlaskClient, joinery: Joinery, quoted: dict[str, int]
) -> None:
    """Neither the draws nor what was foretold as a distribution is in it."""
    said = client.get(f"/api/quotes/{quoted['draft']}").json
    assert said is not None
    assert meets(said, "OneQuoteDoc")
    found = kept(joinery, quoted["draft"])
    assert said["sums"]["total_cents"] == found.sums.total_cents
    assert said["quote"]["price_cents"] == found.sums.price_cents
    assert said["hands_min"]["p80"] == found.worked.hands_min.p80
    assert [s["name"] for s in said["stages"]] == [s.name for s in found.made.stages]
    assert [bool(s["machine_min"]) for s in said["stages"]] == [False, False, True, False, False]
    assert said["bought"][0]["priced_on"] == "2026-11-25"
    assert "seed" not in str(said)
    assert "scale" not in {key for stage in said["stages"] for key in stage}


def test_a_taken_quote_names_its_job(client: FlaskClient, joinery: Joinery, quoted: dict[str, int]) -> None:
    job = answers.take(joinery.store, quoted["out"], 1, UNA, NOW)
    said = client.get(f"/api/quotes/{quoted['out']}").json
    assert said is not None
    assert (said["quote"]["job"], said["quote"]["standing"]) == (job, "taken")


@pytest.mark.parametrize("number", ["0", "99", "-1", "x", "9" * 30, "²"])
def test_no_such_quote(client: FlaskClient, quoted: dict[str, int], number: str) -> None:
    answer = client.get(f"/api/quotes/{number}")
    assert (answer.status_code, answer.content_type) == (404, "application/problem+json")


def test_known_already_it_is_not_sent_again(
    client: FlaskClient, joinery: Joinery, quoted: dict[str, int]
) -> None:
    first = client.get("/api/quotes")
    known = {"If-None-Match": first.headers["ETag"]}
    assert client.get("/api/quotes", headers=known).status_code == 304
    drafts.copy_as_new(joinery.store, quoted["draft"], "3" * 32, UNA, NOW)
    assert client.get("/api/quotes", headers=known).status_code == 200


def test_prices_are_for_the_office_alone(
    bare_store: Store, config: Config, joinery: Joinery, quoted: dict[str, int]
) -> None:
    """A tablet of the bench is told so; so is an office behind a PIN until somebody came in."""
    lan: Flask = open_shop(bare_store, config)
    bench = paired(lan, bare_store, "bench")
    for path in ("/api/quotes", f"/api/quotes/{quoted['out']}"):
        refused = bench.get(path)
        assert (refused.status_code, refused.content_type) == (403, "application/problem+json")
        assert office_here(lan).get(path).status_code == 200


def test_behind_a_pin_prices_wait_for_whoever_knows_it(
    client: FlaskClient, bare_store: Store, quoted: dict[str, int]
) -> None:
    with bare_store.writing() as session:
        put(session, UNA, "00" * 16, derive("4711", "00" * 16), NOW)
    assert client.get("/api/quotes").status_code == 403
    client.post("/office", data={"person": f"{UNA}", "pin": "4711"}, headers={"Origin": "http://localhost"})
    assert client.get("/api/quotes").status_code == 200
