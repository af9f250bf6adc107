"""The stages of a pattern to words: a line for each thing that is said of it, in the shop's own units."""

from collections.abc import Mapping, Sequence

from shoptrack.flows.pattern_changes import Told
from shoptrack.store.pattern_things import Thing, Things
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web.pattern_draft import key_of
from shoptrack.web.pattern_fields import wait_field
from shoptrack.web.render import Wall, count, length, listed, measure

Facts = tuple[tuple[str, str], ...]

HANDS = {
    "hands-on": "hands-on",
    "within earshot": "somebody within earshot",
    "none": "nobody at it",
}
STOPS = {"any": "any time", "lunch": "for lunch only", "none": "not until it is done"}


def told(stages: Sequence[PatternStage], things: Things, wall: Wall) -> tuple[Told, ...]:
    """Every stage in words."""
    names = {place: stage.name for place, stage in enumerate(stages, 1)}
    return tuple(
        Told(key_of(s, place), s.name, facts(s, names, things, wall)) for place, s in enumerate(stages, 1)
    )


def facts(stage: PatternStage, names: Mapping[int, str], things: Things, wall: Wall) -> Facts:
    """All that is said of a stage beside its name, in the order it is read in; ``names`` by place."""
    recipe = things.recipes.get(stage.recipe or 0)
    found = (
        ("kind", things.kinds[stage.kind].name if stage.kind in things.kinds else ""),
        ("measure", measured(stage, things)),
        ("after", "; ".join(_after(need, names) for need in stage.needs)),
        ("at", _name(things.stations, stage.station)),
        ("room", _name(things.rooms, stage.room)),
        ("glue" if recipe is None or recipe.is_a == "glue" else "finish", recipe.name if recipe else ""),
        ("joint", stage.joint or ""),
        ("clamps", ", ".join(_clamps(stage, things))),
        ("tools", ", ".join(_tools(stage, things))),
        ("wood", _name(things.materials, stage.material)),
        ("work", _size(stage, wall)),
        *_who(stage, things),
        *_settings(stage.settings),
        ("caution", stage.caution),
    )
    return tuple((what, words) for what, words in found if words)


def measured(stage: PatternStage, things: Things) -> str:
    """How much of it there is: "3 coats", "2 boards for each piece"."""
    unit = things.kinds[stage.kind].unit if stage.kind in things.kinds else ""
    each = f"{measure(stage.per_piece, unit)} for each piece" if stage.per_piece else ""
    fixed = measure(stage.fixed, unit) if stage.fixed else ""
    words = " and ".join(part for part in (fixed, each) if part)
    return f"{words}, in rounds" if stage.rounds and words else words


def _after(need: PatternNeed, names: Mapping[int, str]) -> str:
    parts = [names.get(need.position, f"stage {need.position}")]
    parts += ["as rounds are ready"] if need.by_rounds else []
    parts += [f"at least {wait_field(need.least_wait_min)} later"] if need.least_wait_min else []
    if need.greatest_wait_min is not None:
        parts.append(f"within {wait_field(need.greatest_wait_min)}")
    return ", ".join(parts)


def _name(among: Mapping[int, Thing], chosen: int | None) -> str:
    thing = among.get(chosen) if chosen is not None else None
    return thing.name if thing else ""


def _clamps(stage: PatternStage, things: Things) -> list[str]:
    return [
        f"{c.count} × {_name(things.pools, c.pool)}{' for each piece' if c.per_piece else ''}"
        for c in stage.clamps
    ]


def _tools(stage: PatternStage, things: Things) -> list[str]:
    return [f"{_name(things.tools, tool)} {count(share * 100)} % of the time" for tool, share in stage.tools]


def _size(stage: PatternStage, wall: Wall) -> str:
    parts = [f"{length(stage.width_mm, wall)} wide"] if stage.width_mm else []
    parts += [f"{length(stage.length_mm, wall)} long"] if stage.length_mm else []
    return listed(parts)


def _who(stage: PatternStage, things: Things) -> Facts:
    kind = things.kinds.get(stage.kind)
    attendance = stage.attendance or (kind.attendance if kind else "hands-on")
    stops = stage.interruption or (kind.interruption if kind else "any")
    dusty = (kind.dusty if kind else False) if stage.dusty is None else stage.dusty
    return (
        ("hands", HANDS[attendance] if attendance != "hands-on" else ""),
        ("hands at", ", ".join(wait_field(m) for m in stage.hands_at_min)),
        ("people", f"{stage.people} at once" if stage.people > 1 else ""),
        ("may stop", STOPS[stops] if stops != "any" else ""),
        ("dust", "makes dust" if dusty else ""),
    )


def _settings(text: str) -> Facts:
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return (("settings", " · ".join(lines)),)
