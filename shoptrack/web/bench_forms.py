"""The plain forms of the Bench to the members of a tap, as a tablet would have sent them."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from werkzeug.datastructures import MultiDict

from shoptrack.engine.units import WarmthUnit, parse_cents, parse_warmth
from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import GREATEST_AGO_MIN, read_instant

NUMBERS = ("count", "out_of", "minutes")
WHOLE = ("person", "helper", "job", "way_back", "room", "pool", "tool", "edge")
TICKS = ("insisted", "goes_on")
WORDS = ("id", "kind", "of", "asks", "choice", "to_at", "cause", "reason", "look_again_on", "text", "told")

Form = MultiDict[str, str]


def read_form(form: Form, now: datetime, currency: str, warmth_unit: WarmthUnit) -> dict[str, Any]:
    """Everything that a form says, under the names that the record reads; empty fields say nothing.

    Raises BadInput for a number that is none.
    """
    said: dict[str, Any] = {name: form[name] for name in WORDS if form.get(name)}
    said |= {name: number(form, name) for name in NUMBERS if form.get(name)}
    said |= {name: whole(form, name) for name in WHOLE if form.get(name)}
    said |= {name: True for name in TICKS if form.get(name)}
    if form.get("count_is"):
        said["count"] = number(form, "count_is")
    if form.get("cost"):
        said["cents"] = parse_cents(form["cost"], currency, "cost")
    if form.get("warmth"):
        said["value_c"] = round(parse_warmth(form["warmth"], warmth_unit, "warmth"), 2)
    said["stages"] = tuple(dict.fromkeys(_whole(text) for text in form.getlist("stage")))
    said["ago_min"] = read_when(form.get("when", ""), now)
    return {"id": "", "kind": "", "person": None, **said}


def read_when(text: str, now: datetime) -> float:
    """How many minutes ago a tap counts from: a number of minutes, or an instant; empty is now.

    Raises BadInput for anything else, and for more than a tap can be late.
    """
    if not text:
        return 0.0
    plain = text.isascii() and text.isdigit() and len(text) <= 9
    ago_min = float(text) if plain else _ago_min(text, now)
    if ago_min > GREATEST_AGO_MIN:
        raise BadInput(f"That is longer ago than {GREATEST_AGO_MIN:,} minutes, which is 14 days.", "when")
    return ago_min


def _ago_min(instant: str, now: datetime) -> float:
    try:
        return max(0.0, (now - read_instant(instant)).total_seconds() / 60)
    except BadInput as problem:
        raise BadInput(f"“{instant[:20]}” is not a number of minutes: write it like 25.", "when") from problem


def number(form: Mapping[str, str], name: str) -> float:
    """A number that was typed, with a point or a comma."""
    try:
        return float(form[name].replace(",", "."))
    except (KeyError, ValueError) as problem:
        raise BadInput(f"“{form.get(name, '')}” is not a number.", name) from problem


def whole(form: Mapping[str, str], name: str) -> int:
    """A person's or a stage's number."""
    return _whole(form.get(name, ""))


def _whole(text: str) -> int:
    if text.isascii() and text.isdigit() and len(text) < 10:
        return int(text)
    raise BadInput(f"“{text[:20]}” is no number of a person or a stage.")
