"""The API document against the program: valid by the standard's validator, true by thousands of calls."""

from datetime import UTC, datetime
from typing import get_args

import jsonschema_rs
import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, given, settings
from openapi_spec_validator import OpenAPIV31SpecValidator
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.schemas import OpenApiSchema

from shoptrack.config import Config
from shoptrack.engine.shapes import State
from shoptrack.flows.entry_kinds import KINDS
from shoptrack.web import create_app
from shoptrack.web.openapi import document, schema_of
from tests.flows.conftest import make_store

NOW = datetime(2025, 3, 4, 14, 10, tzinfo=UTC)
ORIGIN = {"Origin": "http://localhost"}
# called without a socket, this client unpacks nothing though it says it could: tests/web/test_packed.py does
PLAIN = {**ORIGIN, "Accept-Encoding": "identity"}


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    folder = tmp_path_factory.mktemp("shop")
    made = create_app(make_store(folder / "shop.db"), Config(instance=folder, database_url=""))
    made.config.update(TESTING=True, NOW=lambda: NOW)
    return made


@pytest.fixture(scope="module")
def described(app: Flask) -> OpenApiSchema:
    return schemathesis.openapi.from_wsgi("/api/openapi.json", app)


CALLS = [
    (path, method, mode)
    for path, item in document()["paths"].items()
    for method in item
    for mode in GenerationMode
    if mode is GenerationMode.POSITIVE or method == "post" or "{" in path or path == "/api/times"
]


@pytest.mark.parametrize(("path", "method", "mode"), CALLS)
def test_every_answer_is_as_the_document_says(
    described: OpenApiSchema, path: str, method: str, mode: GenerationMode
) -> None:
    """Fifty made-up calls of each operation, well formed and badly formed, sent from our own page."""
    operation = described[path][method]

    @settings(
        max_examples=50,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def call(case: schemathesis.Case) -> None:
        case.call_and_validate(headers=PLAIN)

    call()


def test_document_is_valid_openapi() -> None:
    """Source: OpenAPI Specification 3.1.0, by its published schema in openapi-spec-validator."""
    OpenAPIV31SpecValidator(document()).validate()


def test_states_are_spelled_as_everywhere() -> None:
    states = document()["components"]["schemas"]["StageDoc"]["properties"]["state"]["enum"]
    assert states == list(get_args(State))


def test_every_kind_of_tap_is_described() -> None:
    shapes = document()["components"]["schemas"]
    told = {s["properties"]["kind"]["const"] for name, s in shapes.items() if name.endswith("Entry")}
    assert told == set(KINDS)


def test_a_real_tap_meets_the_shape_of_its_kind() -> None:
    """A start as a tablet makes it fits the start's schema; with a member too many it does not."""
    start = document()["components"]["schemas"]["StartEntry"]
    tap = {
        "id": "abcdefgh",
        "seq": 1,
        "kind": "start",
        "at": "2025-03-04T14:00:00Z",
        "person": 1,
        "stages": [11],
    }
    assert jsonschema_rs.is_valid(start, tap)
    assert not jsonschema_rs.is_valid(start, {**tap, "count": 3})


def test_a_type_without_schema_is_refused() -> None:
    with pytest.raises(TypeError):
        schema_of(complex)
