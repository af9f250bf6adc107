"""A stage of a pattern to the fields of its form, and what was typed in them back to the stage."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TypeVar, cast, get_args

from shoptrack.engine.shapes import Attendance, ClampNeed, Interruption, Joint
from shoptrack.engine.units import parse_minutes
from shoptrack.errors import BadInput
from shoptrack.store.pattern_things import Kind, Things
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.pattern_settings import USUAL, settings_fields, settings_text
from shoptrack.web.render import Wall, length_field, minutes

ROWS: Mapping[str, tuple[str, ...]] = {
    "need": ("stage", "by_rounds", "least", "most"),
    "clamp": ("pool", "count", "per_piece"),
    "tool": ("tool", "share"),
}
"""The lists within a stage's form, each with the fields of one row; the first field says which."""

MOST_ROWS = 40
T = TypeVar("T")


def typed_of(stage: PatternStage, keys: Mapping[int, str], kind: Kind | None, wall: Wall) -> dict[str, str]:
    """What the form of a stage shows; ``keys`` names the stages by their places.

    What the stage has from its kind is left for the kind to say.
    """
    said = {
        "kind": str(stage.kind),
        "name": stage.name,
        "fixed": plain(stage.fixed) if stage.fixed else "",
        "per_piece": plain(stage.per_piece) if stage.per_piece else "",
        "rounds": "yes" if stage.rounds else "",
        "station": _id(stage.station),
        "room": _id(stage.room),
        "recipe": _id(stage.recipe),
        "joint": stage.joint or "",
        "material": _id(stage.material),
        "attendance": _own(stage.attendance, kind.attendance if kind else None),
        "interruption": _own(stage.interruption, kind.interruption if kind else None),
        "dusty": _own(_yes_no(stage.dusty), _yes_no(kind.dusty) if kind else None),
        "people": str(stage.people),
        "width": length_field(stage.width_mm, wall),
        "length": length_field(stage.length_mm, wall),
        "hands_at": ", ".join(plain(m) for m in stage.hands_at_min),
        "caution": stage.caution,
        **settings_fields(stage.settings),
    }
    return {name: value for name, value in {**said, **_rows_of(stage, keys)}.items() if value}


def _rows_of(stage: PatternStage, keys: Mapping[int, str]) -> dict[str, str]:
    said: dict[str, str] = {}
    for n, need in enumerate(stage.needs):
        said[f"need-{n}-stage"] = keys.get(need.position, "")
        said[f"need-{n}-by_rounds"] = "yes" if need.by_rounds else ""
        said[f"need-{n}-least"] = wait_field(need.least_wait_min or None)
        said[f"need-{n}-most"] = wait_field(need.greatest_wait_min)
    for n, clamps in enumerate(stage.clamps):
        said[f"clamp-{n}-pool"], said[f"clamp-{n}-count"] = str(clamps.pool), str(clamps.count)
        said[f"clamp-{n}-per_piece"] = "yes" if clamps.per_piece else ""
    for n, (tool, share) in enumerate(stage.tools):
        said[f"tool-{n}-tool"], said[f"tool-{n}-share"] = str(tool), plain(round(share * 100, 8))
    return said


def plain(value: float) -> str:
    """A number for a field, with all the decimals it has."""
    return f"{value:.10g}"


def wait_field(amount: float | None) -> str:
    """A wait for a field: "1 h 25", "24 h"; nothing for none. Parts of a minute are kept."""
    if amount is None:
        return ""
    return minutes(amount) if amount == round(amount) else f"{plain(amount)} min"


def _id(chosen: int | None) -> str:
    return "" if chosen is None else str(chosen)


def _yes_no(value: bool | None) -> str | None:
    return None if value is None else "yes" if value else "no"


def _own(value: str | None, from_kind: str | None) -> str:
    return "" if value is None or value == from_kind else value


def rows(typed: Fields, name: str) -> list[int]:
    """The rows of a list within a stage's form in which anything is chosen or typed."""
    parts = ROWS[name]
    return [n for n in range(MOST_ROWS) if any(typed.get(f"{name}-{n}-{part}") for part in parts)]


def read_stage(
    typed: Fields, places: Mapping[str, int], things: Things, wall: Wall, base: PatternStage | None
) -> PatternStage:
    """The stage that was typed; ``places`` are the others' by their keys.

    A number that stands in its field as ``base`` filled it in is exactly that of ``base``. Raises BadInput
    with the field that is wrong.
    """
    kind = things.kinds.get(forms.maybe_id(typed, "kind", "The kind") or 0)
    if kind is None:
        raise BadInput("Choose the kind of stage.", "kind")
    stage = PatternStage(
        kind=kind.id,
        name=forms.maybe_words(typed, "name", "The name") or kind.name,
        fixed=forms.number(typed, "fixed", "The measure of the job") or 0.0,
        per_piece=forms.number(typed, "per_piece", "The measure of each piece") or 0.0,
        needs=_needs(typed, places),
        clamps=_clamps(typed),
        tools=_tools(typed),
        station=forms.maybe_id(typed, "station", "The station"),
        room=forms.maybe_id(typed, "room", "The room"),
        recipe=forms.maybe_id(typed, "recipe", "The glue or finish"),
        joint=cast("Joint | None", _maybe(typed, "joint", "The joint", get_args(Joint))),
        material=forms.maybe_id(typed, "material", "The material"),
        rounds=bool(typed.get("rounds")),
        attendance=cast("Attendance | None", _maybe(typed, "attendance", "This", get_args(Attendance))),
        interruption=cast(
            "Interruption | None", _maybe(typed, "interruption", "This", get_args(Interruption))
        ),
        dusty={"yes": True, "no": False}.get(typed.get("dusty", "")),
        people=forms.whole(typed, "people", "The number of people", most=50) if typed.get("people") else 1,
        hands_at_min=_hands_at(typed),
        settings=settings_text(typed),
        caution=forms.maybe_words(typed, "caution", "The caution", 1000),
        line=base.line if base else None,
        width_mm=forms.maybe_length(typed, "width", "The width", wall),
        length_mm=forms.maybe_length(typed, "length", "The length", wall),
    )
    return _exactly(stage, typed, base, wall)


def _exactly(stage: PatternStage, typed: Fields, base: PatternStage | None, wall: Wall) -> PatternStage:
    """What stands in its fields as it was shown is what it was, whatever the showing rounded off."""
    if base is None:
        return stage
    shown = typed_of(base, {}, None, wall)
    same = [column for column, names in SHOWN_AS.items() if all(_as(typed, shown, n) for n in names)]
    return replace(stage, **{column: getattr(base, column) for column in same})


SHOWN_AS: Mapping[str, tuple[str, ...]] = {
    "name": ("name",),
    "fixed": ("fixed",),
    "per_piece": ("per_piece",),
    "width_mm": ("width",),
    "length_mm": ("length",),
    "hands_at_min": ("hands_at",),
    "caution": ("caution",),
    "settings": ("settings", *USUAL),
}
"""What a form shows rounded or tidied, with the fields it is shown in."""


def _as(typed: Fields, shown: Fields, name: str) -> bool:
    return typed.get(name, "").strip() == shown.get(name, "")


def _maybe(typed: Fields, name: str, called: str, among: Collection[str]) -> str | None:
    return forms.choice(typed, name, called, among) if typed.get(name) else None


def _once(found: list[tuple[str, T]], what: str) -> tuple[T, ...]:
    """The values of rows, refused where two rows say the same thing."""
    seen: dict[object, str] = {}
    for field, value in found:
        which = value.position if isinstance(value, PatternNeed) else _which(value)
        if which in seen:
            raise BadInput(f"This {what} is named twice.", field)
        seen[which] = field
    return tuple(value for _, value in found)


def _which(value: object) -> object:
    return value.pool if isinstance(value, ClampNeed) else value[0] if isinstance(value, tuple) else value


def _needs(typed: Fields, places: Mapping[str, int]) -> tuple[PatternNeed, ...]:
    found = []
    for n in rows(typed, "need"):
        place = places.get(typed.get(f"need-{n}-stage", ""))
        if place is None:
            raise BadInput("Choose the stage that it comes after.", f"need-{n}-stage")
        least = _wait(typed, f"need-{n}-least", "The least wait")
        most = _wait(typed, f"need-{n}-most", "The greatest wait")
        by_rounds = bool(typed.get(f"need-{n}-by_rounds"))
        found.append((f"need-{n}-stage", PatternNeed(place, by_rounds, least or 0.0, most)))
    return _once(found, "stage")


def _wait(typed: Fields, name: str, called: str) -> float | None:
    return forms.maybe_minutes(typed, name, called)


def _clamps(typed: Fields) -> tuple[ClampNeed, ...]:
    found = []
    for n in rows(typed, "clamp"):
        pool = forms.maybe_id(typed, f"clamp-{n}-pool", "The clamps")
        if pool is None:
            raise BadInput("Choose the clamps.", f"clamp-{n}-pool")
        count = forms.whole(typed, f"clamp-{n}-count", "The number of clamps", most=999)
        found.append((f"clamp-{n}-pool", ClampNeed(pool, count, bool(typed.get(f"clamp-{n}-per_piece")))))
    return _once(found, "reach")


def _tools(typed: Fields) -> tuple[tuple[int, float], ...]:
    found = []
    for n in rows(typed, "tool"):
        tool = forms.maybe_id(typed, f"tool-{n}-tool", "The tool")
        if tool is None:
            raise BadInput("Choose the tool.", f"tool-{n}-tool")
        share = forms.number(typed, f"tool-{n}-share", "The share of the time", most=100)
        if share == 0:
            raise BadInput("A tool that never cuts is none of this stage.", f"tool-{n}-share")
        found.append((f"tool-{n}-tool", (tool, 1.0 if share is None else round(share / 100, 10))))
    return _once(found, "tool")


def _hands_at(typed: Fields) -> tuple[float, ...]:
    said = forms.maybe_words(typed, "hands_at", "The list of minutes")
    parts = [part.strip() for part in said.replace(";", ",").split(",") if part.strip()]
    return tuple(sorted({parse_minutes(part, "hands_at") for part in parts}))
