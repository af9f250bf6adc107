"""Where the stages stand becomes what may be started, what waits, and for what."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.shapes import FAR, Stage, Standing, Wait, World
from shoptrack.flows.places import Place, place_of
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.soon import without_edge
from shoptrack.flows.usual import usual_min


@dataclass(frozen=True, slots=True)
class Because:
    """A wait with the name of what it waits for: a stage of the same job, a station, another job."""

    why: str
    what: str
    until_at: datetime | None
    count: int | None


@dataclass(frozen=True, slots=True)
class Choice:
    """A stage that may be started or waits: what it waits for, and what waits for it.

    ``no_edge`` names the tools that it needs of which no edge may be used now.
    """

    place: Place
    state: str
    promised_on: date | None
    usual_min: float
    ready_count: float | None
    quantity: float
    unit: str
    waits: tuple[Because, ...]
    until_at: datetime | None
    then: tuple[str, ...]
    no_edge: tuple[str, ...] = ()


def choices(sight: Sight, states: Iterable[str]) -> Iterator[Choice]:
    """The stages in some states by promised date, then by their order in the job."""
    for standing in _in_order(sight, frozenset(states)):
        yield choice_of(sight, standing)


def next_waiting(sight: Sight) -> Iterator[Choice]:
    """Of each job the first stage that waits for a cure or a decision, the soonest first.

    A stage that waits only for work still to be done in the same job says nothing new and is left out.
    """
    seen = set[int]()
    waiting = [
        s for s in _in_order(sight, frozenset({"waiting"})) if any(w.why != "not done" for w in s.waits)
    ]
    for standing in sorted(waiting, key=lambda s: s.until_at or FAR):
        job = sight.world.stages[standing.stage].job
        if job not in seen:
            seen.add(job)
            yield choice_of(sight, standing)


def _in_order(sight: Sight, states: Collection[str]) -> list[Standing]:
    found = [s for s in sight.standings.values() if s.state in states]
    return sorted(found, key=lambda s: _by_date(sight.world, s))


def _by_date(world: World, standing: Standing) -> tuple[date, int, int]:
    stage = world.stages[standing.stage]
    return (world.jobs[stage.job].promised_on or date.max, stage.job, stage.position)


def choice_of(sight: Sight, standing: Standing) -> Choice:
    """One stage with what it waits for and what waits for it."""
    stage = sight.world.stages[standing.stage]
    partly = any(n.by_rounds for n in stage.needs) and 0 < standing.ready_count < standing.work.quantity
    return Choice(
        place=place_of(sight, stage.id),
        state=standing.state,
        promised_on=sight.world.jobs[stage.job].promised_on,
        usual_min=usual_min(sight, (stage.id,)),
        ready_count=standing.ready_count if partly else None,
        quantity=standing.work.quantity,
        unit=stage.unit,
        waits=tuple(because(sight.world, stage, w) for w in standing.waits),
        until_at=standing.until_at,
        then=tuple(s.name for s in sight.followers.get(stage.id, ())),
        no_edge=without_edge(sight, stage),
    )


def because(world: World, stage: Stage, wait: Wait) -> Because:
    """A wait with the name of what it waits for."""
    other = world.stages.get(wait.stage) if wait.stage is not None else None
    what = other.name if other else ""
    if wait.why == "station" and stage.station is not None:
        what = world.stations[stage.station].name
    if other and other.job != stage.job:
        what = f"{what} ({world.jobs[other.job].tag})" if wait.why == "station" else world.jobs[other.job].tag
    return Because(wait.why, what, wait.until_at, wait.count)
