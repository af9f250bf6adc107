"""The stages of a pattern and what the shop has → what can't be done of them, each with its reason."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter

from shoptrack.engine.shapes import ClampNeed, Joint, Need
from shoptrack.engine.units import LengthUnit, show_length, show_minutes


@dataclass(frozen=True, slots=True)
class Bounds:
    """What a station takes: the greatest width, the least length, the size of its bed; None: any."""

    name: str
    greatest_width_mm: float | None = None
    least_length_mm: float | None = None
    bed_length_mm: float | None = None
    bed_width_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Owned:
    """Clamps of one reach, and how many there are."""

    name: str
    reach_mm: float
    owned: int


@dataclass(frozen=True, slots=True)
class Limits:
    """What the shop has. ``gate_min``: minutes at the reference temperature until work may go on after a
    glue or finish in a kind of joint.
    """

    people: int
    stations: Mapping[int, Bounds] = field(default_factory=dict)
    pools: Mapping[int, Owned] = field(default_factory=dict)
    gate_min: Mapping[tuple[int, Joint | None], float] = field(default_factory=dict)
    length_unit: LengthUnit = "in"


@dataclass(frozen=True, slots=True)
class Asked:
    """A stage as it is asked for; its needs name others by their place in the list, counted from 1."""

    name: str
    fixed: float = 0.0
    per_piece: float = 1.0
    rounds: bool = False
    needs: tuple[Need, ...] = ()
    clamps: tuple[ClampNeed, ...] = ()
    station: int | None = None
    people: int = 1
    width_mm: float | None = None
    length_mm: float | None = None
    recipe: int | None = None
    joint: Joint | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Why one stage can't be done: its place, what of it the sentence is about (as "needs", and which)."""

    place: int
    about: str
    sentence: str
    which: int = 0


def problems(stages: Sequence[Asked], limits: Limits) -> tuple[Problem, ...]:
    """What can't be done of a list of stages.

    Takes the stages in their order and what the shop has. Gives one problem for each thing that is wrong,
    by place. Empty: it can all be done, or there are no stages.
    """
    found = list(_rings(stages))
    for place, stage in enumerate(stages, 1):
        found += (Problem(place, *said) for said in _amiss(stage, limits))
        for which, need in enumerate(stage.needs):
            found += (Problem(place, a, s, which) for a, s in _wrong_need(stages, place, need, limits))
    return tuple(sorted(found, key=lambda problem: problem.place))


def ring(needs: Mapping[int, Iterable[int]]) -> tuple[int, ...]:
    """Stages that wait for each other in a ring, each for the one after it; none where an order exists.

    Takes each stage with those it waits for. Empty: no stages, no ring.
    """
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as found:
        return tuple(reversed(found.args[1][1:]))
    return ()


def lacking(clamps: Iterable[tuple[int, int]], pools: Mapping[int, Owned]) -> tuple[float, int, int] | None:
    """Which clamps are too few: their least reach in mm, how many are wanted and how many are owned.

    Takes (pool, count) held at once. None when there are enough. Method: a longer clamp may stand in for a
    shorter, never the other way; so of every reach, what is wanted of it and longer must be owned of it and
    longer (Hall's condition for nested choices), and one reach that fails is given: the longest.
    """
    wanted = [(pools[pool].reach_mm, count) for pool, count in clamps if pool in pools]
    for reach in sorted({reach for reach, _ in wanted}, reverse=True):
        asked = sum(count for at, count in wanted if at >= reach)
        owned = sum(pool.owned for pool in pools.values() if pool.reach_mm >= reach)
        if asked > owned:
            return reach, asked, owned
    return None


def _rings(stages: Sequence[Asked]) -> Iterator[Problem]:
    places = range(1, len(stages) + 1)
    needs = {n: [x.stage for x in s.needs if x.stage in places] for n, s in zip(places, stages, strict=True)}
    around = ring(needs)
    if not around:
        return
    names = " waits for ".join(f"“{stages[n - 1].name}”" for n in (*around, around[0]))
    for place in around:
        yield Problem(place, "needs", f"These stages wait for each other: {names}.")


def _amiss(stage: Asked, limits: Limits) -> Iterator[tuple[str, str]]:
    if stage.fixed + stage.per_piece <= 0:
        yield "measure", "Say how much of it there is: a number for the job, or for each piece."
    if stage.people > limits.people:
        yield "people", f"It wants {stage.people} at once; {_heads(limits.people)} here."
    yield from _too_few_clamps(stage, limits)
    bounds = limits.stations.get(stage.station) if stage.station is not None else None
    if bounds:
        yield from _too_large(stage, bounds, limits.length_unit)


def _heads(people: int) -> str:
    return "one person works" if people == 1 else f"{people or 'no'} people work"


def _too_few_clamps(stage: Asked, limits: Limits) -> Iterator[tuple[str, str]]:
    """Clamps for each piece are asked for the least that is glued at once: one, or the stage of one piece."""
    least = 1.0 if stage.rounds else max(stage.fixed + stage.per_piece, 1.0)
    held = [(c.pool, int(c.count * least + 0.999) if c.per_piece else c.count) for c in stage.clamps]
    short = lacking(held, limits.pools)
    if short:
        reach, asked, owned = short
        name = show_length(reach, limits.length_unit)
        yield "clamps", f"It wants {asked} clamps of {name} or longer; the shop has {owned or 'none'}."


def _too_large(stage: Asked, bounds: Bounds, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    width, length = stage.width_mm or 0.0, stage.length_mm or 0.0
    if bounds.greatest_width_mm is not None and width > bounds.greatest_width_mm:
        most = show_length(bounds.greatest_width_mm, unit)
        yield "width", f"The {bounds.name} takes {most} at most; this is {show_length(width, unit)} wide."
    if bounds.least_length_mm is not None and 0 < length < bounds.least_length_mm:
        least = show_length(bounds.least_length_mm, unit)
        yield "length", f"The {bounds.name} needs {least} at least; this is {show_length(length, unit)} long."
    if not _lies_on(width, length, bounds):
        bed = [show_length(side, unit) for side in (bounds.bed_length_mm, bounds.bed_width_mm) if side]
        yield "length", f"It does not lie on the bed of the {bounds.name}, which is {' by '.join(bed)}."


def _lies_on(width: float, length: float, bounds: Bounds) -> bool:
    """Whether it lies on the bed, either way round; a side that is not known is no hindrance."""
    far = float("inf")
    long, wide = bounds.bed_length_mm or far, bounds.bed_width_mm or far
    return (width <= wide and length <= long) or (width <= long and length <= wide)


def _wrong_need(stages: Sequence[Asked], place: int, need: Need, limits: Limits) -> Iterator[tuple[str, str]]:
    if not 1 <= need.stage <= len(stages):
        yield "needs", f"It comes after stage {need.stage}, which is not there."
        return
    before = stages[need.stage - 1]
    if need.by_rounds and not before.rounds:
        yield "needs", f"“{before.name}” is not done in rounds, so it can’t be waited for by rounds."
    if need.greatest_wait_min is None:
        return
    if need.greatest_wait_min < need.least_wait_min:
        yield "wait", "The greatest wait is shorter than the least."
    gate = limits.gate_min.get((before.recipe, before.joint), 0.0) if before.recipe is not None else 0.0
    if need.greatest_wait_min < gate:
        least = show_minutes(gate)
        yield "wait", f"“{before.name}” can’t be worked on until {least} after; the wait may not be shorter."
