"""The stages of a pattern as they were written down → what can't be done in this shop, stage by stage."""

from collections.abc import Mapping, Sequence

from shoptrack.engine.feasible import Asked, Problem, problems
from shoptrack.engine.shapes import Need
from shoptrack.store.pattern_things import Kind, Thing, Things
from shoptrack.store.patterns import PatternStage


def check(stages: Sequence[PatternStage], things: Things) -> tuple[Problem, ...]:
    """What can't be done of a pattern's stages with what the shop has, by place.

    What a stage names must be there and in use; then as engine.feasible.problems. Empty: it can be done.
    """
    gone = [p for place, stage in enumerate(stages, 1) for p in _gone(place, stage, things)]
    return (*gone, *problems([_asked(stage) for stage in stages], things.limits))


def _asked(stage: PatternStage) -> Asked:
    return Asked(
        name=stage.name,
        fixed=stage.fixed,
        per_piece=stage.per_piece,
        rounds=stage.rounds,
        needs=tuple(
            Need(n.position, n.by_rounds, n.least_wait_min, n.greatest_wait_min) for n in stage.needs
        ),
        clamps=tuple(stage.clamps),
        station=stage.station,
        people=stage.people,
        width_mm=stage.width_mm,
        length_mm=stage.length_mm,
        recipe=stage.recipe,
        joint=stage.joint,
    )


def _gone(place: int, stage: PatternStage, things: Things) -> list[Problem]:
    """What the stage names that the shop has no more."""
    found = _kind_gone(place, things.kinds.get(stage.kind))
    single = (
        ("station", stage.station, things.stations),
        ("room", stage.room, things.rooms),
        ("recipe", stage.recipe, things.recipes),
        ("material", stage.material, things.materials),
    )
    for about, chosen, among in single:
        found += _unless_there(place, about, 0, chosen, among)
    for which, need in enumerate(stage.clamps):
        found += _unless_there(place, "clamps", which, need.pool, things.pools)
    for which, (tool, _) in enumerate(stage.tools):
        found += _unless_there(place, "tools", which, tool, things.tools)
    return found


def _kind_gone(place: int, kind: Kind | None) -> list[Problem]:
    if kind is None:
        return [Problem(place, "kind", "There is no such kind of stage.")]
    if kind.retired:
        return [Problem(place, "kind", f"The kind “{kind.name}” is no longer in use; choose another.")]
    return []


def _unless_there(
    place: int, about: str, which: int, chosen: int | None, among: Mapping[int, Thing]
) -> list[Problem]:
    if chosen is None:
        return []
    thing = among.get(chosen)
    if thing is None:
        return [Problem(place, about, "What was chosen here is not there.", which)]
    if thing.retired:
        return [Problem(place, about, f"The {thing.name} is no longer in use; choose another.", which)]
    return []
