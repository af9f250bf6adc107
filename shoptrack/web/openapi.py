"""The registry of taps and the shapes of the documents → the OpenAPI 3.1 document that describes the API."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from shoptrack import __version__
from shoptrack.flows.entry_fields import DEVICE, FIELDS, INSTANT_SCHEMA
from shoptrack.flows.entry_kinds import KINDS, Kind
from shoptrack.flows.envelopes import FORM, MOST_ENTRIES, Answer, Receipt
from shoptrack.store.quotes import STANDINGS
from shoptrack.web.document_shapes import FloorDoc, JobsDoc, OneJobDoc, TimesDoc
from shoptrack.web.plan_shapes import NextsDoc, PlanDoc
from shoptrack.web.problems import PROBLEM_SCHEMA, PROBLEM_TYPE
from shoptrack.web.quote_shapes import OneQuoteDoc, QuotesDoc
from shoptrack.web.times_document import LEAST_QUANTITY, MOST_QUANTITY
from shoptrack.web.tools_shapes import ToolsDoc

Schema = Mapping[str, Any]

PLAIN: Mapping[object, Schema] = {
    int: {"type": "integer"},
    float: {"type": "number"},
    str: {"type": "string"},
    bool: {"type": "boolean"},
    datetime: {"type": "string", "format": "date-time"},
    date: {"type": "string", "format": "date"},
}
REFUSALS = {
    "400": "The message can't be read, or was sent to a name that is not this server's",
    "403": "It came from no page of this shop (Origin is missing or another) or from no paired device",
    "404": "There is no such thing",
    "410": "The shop is served by https now; by http nothing but taps is taken",
    "413": "The message is too large",
    "415": "The message is not application/json",
}


def document() -> Schema:
    """The whole document."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "shoptrack",
            "version": __version__,
            "description": "Taps of the shop's tablets go in; how the work stands comes out.",
        },
        "paths": {
            "/api/entries": {"post": _post_entries()},
            "/api/floor": {"get": _get("floor", "How the shop stands now", "FloorDoc")},
            "/api/jobs": {"get": _get("jobs", "The jobs in progress", "JobsDoc")},
            "/api/jobs/{id}": {"get": _get_one("job", "One job, open or closed", "OneJobDoc")},
            "/api/next": {"get": _get("next", "What is next for everybody, and why", "NextsDoc")},
            "/api/plan": {"get": _get("plan", "The plan that is shown", "PlanDoc")},
            "/api/quotes": {"get": _get_quotes()},
            "/api/quotes/{id}": {"get": _get_one("quote", "One quote, for the office alone", "OneQuoteDoc")},
            "/api/times": {"get": _get_times()},
            "/api/tools": {"get": _get("tools", "The tools: their edges, and when each is due", "ToolsDoc")},
            "/api/openapi.json": {"get": _get_this()},
        },
        "components": {"schemas": _components()},
    }


def schema_of(hint: Any) -> Schema:
    """The JSON schema of a type as the documents use it; a shape of ours is named, not written out."""
    if hint in PLAIN:
        return PLAIN[hint]
    if isinstance(hint, type) and is_dataclass(hint):
        return _ref(hint.__name__)
    if get_origin(hint) is Literal:
        return {"type": "string", "enum": list(get_args(hint))}
    if get_origin(hint) in (Union, UnionType):
        (one,) = (part for part in get_args(hint) if part is not NoneType)
        return {"anyOf": [schema_of(one), {"type": "null"}]}
    if get_origin(hint) is tuple:
        return {"type": "array", "items": schema_of(get_args(hint)[0])}
    raise TypeError(f"{hint} has no schema")


def _components() -> Schema:
    shapes: dict[str, Schema] = {}
    for shape in (
        FloorDoc, JobsDoc, OneJobDoc, PlanDoc, NextsDoc, QuotesDoc, OneQuoteDoc, TimesDoc, ToolsDoc, Receipt,
    ):  # fmt: skip
        _add_shape(shape, shapes)
    kinds = {_kind_name(kind): _kind_schema(kind) for kind in KINDS.values()}
    return {**shapes, **kinds, "Envelope": _envelope(), "Problem": PROBLEM_SCHEMA}


def _add_shape(shape: Any, shapes: dict[str, Schema]) -> None:
    """A frozen shape and, by way of its members, every shape in it."""
    hints = get_type_hints(shape)
    members = {f.name: hints[f.name] for f in fields(shape)}
    optional = {"reason"} if shape is Answer else set()  # said only of a tap that was set aside
    shapes[shape.__name__] = {
        "type": "object",
        "description": " ".join((shape.__doc__ or "").replace("``", "").split()),
        "properties": {name.rstrip("_"): schema_of(hint) for name, hint in members.items()},
        "required": [name.rstrip("_") for name in members if name not in optional],
        "additionalProperties": False,
    }
    for hint in members.values():
        for inner in (hint, *get_args(hint)):
            if isinstance(inner, type) and is_dataclass(inner) and inner.__name__ not in shapes:
                _add_shape(inner, shapes)


def _kind_name(kind: Kind) -> str:
    return "".join(word.capitalize() for word in kind.name.split("-")) + "Entry"


def _kind_schema(kind: Kind) -> Schema:
    """What a tap of a kind must and may carry; rules across members are said in words only."""
    names = sorted(kind.allowed - {"kind", "stage"})
    return {
        "type": "object",
        "description": f"{kind.means[:1].upper()}{kind.means[1:]}.",
        "properties": {"kind": {"const": kind.name}, **{name: kind.field(name).schema for name in names}},
        "required": ["id", "seq", "kind", "at", *kind.must],
        "additionalProperties": False,
    }


def _envelope() -> Schema:
    other = {"description": "Anything else, too, is answered: it is set aside with the reason."}
    return {
        "type": "object",
        "properties": {
            "device": {"type": "string", "pattern": f"^{DEVICE.pattern}$", "not": {"const": FORM}},
            "sent_at": INSTANT_SCHEMA,
            "entries": {
                "type": "array",
                "maxItems": MOST_ENTRIES,
                "items": {"anyOf": [*(_ref(_kind_name(kind)) for kind in KINDS.values()), other]},
            },
        },
        "required": ["device", "sent_at", "entries"],
        "additionalProperties": False,
    }


def _ref(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{name}"}


def _post_entries() -> Schema:
    return {
        "operationId": "postEntries",
        "summary": "Taps of one device, each taken once",
        "description": (
            "Times are by the tablet's own clock; sent_at lets the server correct them. Sent again, a tap "
            "gets the answer it got the first time. Origin must be this server's own."
        ),
        "requestBody": {
            "required": True,
            "content": {"application/json": {"schema": _ref("Envelope")}},
        },
        "responses": {
            "200": _json("What became of each tap", _ref("Receipt")),
            **_refused("400 403 413 415"),
        },
    }


def _get(name: str, summary: str, shape: str) -> Schema:
    return {
        "operationId": name,
        "summary": summary,
        "description": "The answer carries an ETag; asked with it in If-None-Match: 304 if it still holds.",
        "responses": {
            "200": {
                **_json(summary, _ref(shape)),
                "headers": {"ETag": {"required": True, "schema": {"type": "string"}}},
            },
            "304": {"description": "Nothing changed"},
            **_refused("400 403 410"),
        },
    }


def _get_quotes() -> Schema:
    got = dict(_get("quotes", "The newest quotes, for the office alone", "QuotesDoc"))
    standing = {"type": "string", "enum": list(STANDINGS)}
    got["parameters"] = [{"name": "standing", "in": "query", "required": False, "schema": standing}]
    return got


def _get_one(name: str, summary: str, shape: str) -> Schema:
    got = dict(_get(name, summary, shape))
    got["parameters"] = [{"name": "id", "in": "path", "required": True, "schema": FIELDS["job"].schema}]
    got["responses"] = {**got["responses"], **_refused("404")}
    return got


def _get_times() -> Schema:
    got = dict(_get("times", "What the kinds of stage really take", "TimesDoc"))
    number = {"type": "number", "minimum": LEAST_QUANTITY, "maximum": MOST_QUANTITY}
    asked = {
        "kind": ("Of one kind of stage alone", FIELDS["job"].schema),
        "quantity": ("The measure to foretell for; the usual one where it is not said", number),
        "pattern": ("Foretold for this pattern, and of the patterns this one alone", FIELDS["job"].schema),
    }
    got["parameters"] = [
        {"name": name, "in": "query", "description": words, "schema": schema}
        for name, (words, schema) in asked.items()
    ]
    got["responses"] = {**got["responses"], **_refused("404")}
    return got


def _get_this() -> Schema:
    return {
        "operationId": "openapi",
        "summary": "This document",
        "responses": {"200": _json("This document", {"type": "object"}), **_refused("400 403 410")},
    }


def _json(words: str, schema: Schema) -> Schema:
    return {"description": words, "content": {"application/json": {"schema": schema}}}


def _refused(codes: str) -> Schema:
    problem = {"content": {PROBLEM_TYPE: {"schema": _ref("Problem")}}}
    return {code: {"description": REFUSALS[code], **problem} for code in codes.split()}
