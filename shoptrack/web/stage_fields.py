"""A stage of a job to the fields of its form, and what was typed in them back to what is said of it."""

from collections.abc import Iterator, Mapping
from typing import cast, get_args

from shoptrack.engine.shapes import ClampNeed, Joint, Need
from shoptrack.errors import BadInput
from shoptrack.flows.stages_view import OneStage
from shoptrack.store.job_stages import StageSaid
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import Wall, count, length_field

JOINTS: tuple[str, ...] = get_args(Joint)
MOST_CLAMPS = 999
SETTINGS_MOST = 4000


def typed_of(one: OneStage, wall: Wall) -> dict[str, str]:
    """What the form shows at first: all that is said of the stage, or a new one at the job's end."""
    said = one.said
    if said is None:
        last = one.view.stages[-1:]
        return {"people": "1", "in_line": "yes", **{f"after-{s.id}": "done" for s in last}}
    fields = {
        "name": said.name,
        "quantity": count(said.quantity),
        "rounds": "yes" if said.rounds else "",
        "people": str(said.people),
        "recipe": _id(said.recipe_id),
        "joint": said.joint or "",
        "width": length_field(said.width_mm, wall),
        "length": length_field(said.length_mm, wall),
        "room": _id(said.room_id),
        "station": _id(said.station_id),
        "settings": said.settings,
        "caution": said.caution,
        "stamp": one.stamp,
    }
    fields |= {f"cuts-{tool}": f"{share * 100:.10g}" for tool, share in said.tools}
    fields |= {f"clamps-{c.pool}": str(c.count) for c in said.clamps}
    fields |= {f"each-{c.pool}": "yes" for c in said.clamps if c.per_piece}
    fields |= {f"after-{n.stage}": "rounds" if n.by_rounds else "done" for n in said.needs}
    return {name: value for name, value in fields.items() if value}


def _id(value: int | None) -> str:
    return "" if value is None else str(value)


def read_stage(fields: Fields, one: OneStage, wall: Wall) -> StageSaid:
    """What was typed. Raises BadInput beside the field for what can't be."""
    kind = one.said.kind_id if one.said else _among(fields, "kind", "The kind", one.things.kinds)
    if kind is None:
        raise BadInput("Which kind of stage it is, is missing.", "kind")
    quantity = forms.measure(fields, "quantity", "The measure")
    if quantity is None:
        raise BadInput("The measure is missing.", "quantity")
    # a measure is shown with two decimals; unless it was changed, it stays as it is to the last one
    if one.said and count(one.said.quantity) == count(quantity):
        quantity = one.said.quantity
    name = forms.maybe_words(fields, "name", "The name") or one.things.kinds[kind].name
    joint = fields.get("joint", "")
    if joint and joint not in JOINTS:
        raise BadInput("There is no such joint.", "joint")
    return StageSaid(
        kind_id=kind,
        name=name,
        quantity=quantity,
        rounds=bool(fields.get("rounds")),
        people=forms.whole(fields, "people", "The number of people", 1, 20),
        station_id=_among(fields, "station", "The station", one.things.stations),
        room_id=_among(fields, "room", "The room", one.things.rooms),
        recipe_id=_among(fields, "recipe", "The glue or finish", one.things.recipes),
        joint=cast(Joint, joint) if joint else None,
        width_mm=_size(fields, "width", one.said.width_mm if one.said else None, wall),
        length_mm=_size(fields, "length", one.said.length_mm if one.said else None, wall),
        settings=forms.maybe_words(fields, "settings", "The settings", SETTINGS_MOST).replace("\r\n", "\n"),
        caution=forms.maybe_words(fields, "caution", "The caution", SETTINGS_MOST).replace("\r\n", "\n"),
        clamps=tuple(_clamps(fields, one)),
        tools=tuple(sorted(_tools(fields, one))),
        needs=tuple(_needs(fields, one)),
    )


def _among(fields: Fields, name: str, called: str, there: Mapping[int, object]) -> int | None:
    found = forms.maybe_id(fields, name, called)
    if found is not None and found not in there:
        raise BadInput(f"{called} is not there any more.", name)
    return found


def _size(fields: Fields, name: str, was_mm: float | None, wall: Wall) -> float | None:
    """A width or a length; as it was to the last decimal where it still reads as it was shown."""
    if fields.get(name, "").strip() == length_field(was_mm, wall):
        return was_mm
    return forms.maybe_length(fields, name, f"The {name}", wall)


def _tools(fields: Fields, one: OneStage) -> Iterator[tuple[int, float]]:
    """The tools that have a share of the time written beside them."""
    for tool, named in one.things.tools.items():
        name = f"cuts-{tool}"
        share = forms.number(fields, name, f"The share of the {named.name}", most=100)
        if share:
            yield tool, round(share / 100, 10)


def _clamps(fields: Fields, one: OneStage) -> Iterator[ClampNeed]:
    for pool in one.things.pools:
        name = f"clamps-{pool}"
        if fields.get(name, "").strip() in ("", "0"):
            continue
        many = forms.whole(fields, name, "The number of clamps", 1, MOST_CLAMPS)
        yield ClampNeed(pool, many, bool(fields.get(f"each-{pool}")))


def _needs(fields: Fields, one: OneStage) -> Iterator[Need]:
    """What it waits for; a wait that a need has already stays with it."""
    before = {n.stage: n for n in one.said.needs} if one.said else {}
    for other in one.view.stages:
        how = fields.get(f"after-{other.id}", "")
        if how and not (one.stage and other.id == one.stage.id):
            old = before.get(other.id, Need(other.id))
            yield Need(other.id, how == "rounds", old.least_wait_min, old.greatest_wait_min)
