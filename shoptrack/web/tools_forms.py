"""The forms of the Tools screen to the members of a tap, and who taps and when by the page's address."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from shoptrack.engine.shapes.edges import DEEDS
from shoptrack.engine.units import parse_cents
from shoptrack.errors import BadInput
from shoptrack.web import forms
from shoptrack.web.bench_forms import read_when

FIELD_OF = {"cents": "cost", "minutes": "hours", "ago_min": "when"}
"""Where the form calls a member otherwise than the book does."""
SAID = ("edge", "strike")
MOST_METER_H = 1_000_000

Fields = Mapping[str, str]


def read_deed(fields: Fields, now: datetime, currency: str) -> dict[str, Any]:
    """All that a form says of an edge, under the names that the record reads; empty fields say nothing.

    Raises BadInput, with the field, for what can't be read.
    """
    kind = forms.choice(fields, "kind", "What is tapped", SAID)
    said: dict[str, Any] = {
        "id": fields.get("id", ""),
        "kind": kind,
        "person": forms.maybe_id(fields, "person", "The person"),
    }
    if kind == "strike":
        return {**said, "of": fields.get("of", "")}
    hours = forms.number(fields, "hours", "The reading of the hour meter", most=MOST_METER_H)
    said |= {
        "tool": forms.maybe_id(fields, "tool", "The tool"),
        "edge": forms.maybe_id(fields, "edge", "The edge"),
        "choice": forms.choice(fields, "choice", "What was done or found", DEEDS),
        "minutes": None if hours is None else hours * 60,
        "cents": parse_cents(fields["cost"], currency, "cost") if fields.get("cost", "").strip() else None,
        "look_again_on": forms.maybe_day(fields, "look_again_on", "The day it is expected back"),
        "text": forms.maybe_words(fields, "text", "The words", forms.LONGEST_NOTE),
        "ago_min": read_when(fields.get("when", ""), now),
    }
    return said


def as_shown(wrong: BadInput) -> BadInput:
    """The same, of the field that the form shows."""
    return BadInput(str(wrong), FIELD_OF.get(wrong.field, wrong.field))


def back_to(fields: Fields, done: str) -> str:
    """The page to go on with, told what was just done (nothing after taking it back)."""
    path = forms.local_path(fields, "back") if fields.get("back") else "/tools"
    path, _, place = path.partition("#")
    told = f"did={done}" if done else ""
    joined = f"{path}{'&' if '?' in path else '?'}{told}" if told else path
    return f"{joined}#{place}" if place else joined
