"""How the shop stands shortly before closing → what to see to before the last one goes."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.engine.hours import local, open_day
from shoptrack.engine.marks import opens_at
from shoptrack.engine.shapes import in_force
from shoptrack.flows.places import Place, place_of
from shoptrack.flows.planning.worthwhile import Hints, hints_shown
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import DueOf, dues_shown
from shoptrack.flows.tooling.soon import to_send_tonight
from shoptrack.store.db import Store

LAST = timedelta(minutes=90)
"""So long before closing the Floor says what to see to."""


@dataclass(frozen=True, slots=True)
class StillAt:
    """Somebody with something in hand."""

    person: int
    name: str
    places: tuple[Place, ...]
    shop: str


@dataclass(frozen=True, slots=True)
class Wet:
    """A coat that is wet, and until when dust does it harm; None: nobody knows."""

    place: Place
    until_at: datetime | None


@dataclass(frozen=True, slots=True)
class Evening:
    """What to see to before going: what could cure tonight, who is still at what, machines, wet coats.

    ``cautions`` are those of the finishes that were used today: rags, fumes. ``send``: edges that go along to
    be back from the sharpener in time.
    """

    closing_at: datetime
    hints: Hints
    still: tuple[StillAt, ...]
    running: tuple[Place, ...]
    wet: tuple[Wet, ...]
    cautions: tuple[str, ...]
    send: tuple[DueOf, ...] = ()


def evening(store: Store, sight: Sight, number: int) -> Evening | None:
    """What to see to in the last ninety minutes of the shop's day, by the plan of a number; else None."""
    closing_at = closing_of(sight)
    if closing_at is None or not closing_at - LAST <= sight.now < closing_at:
        return None
    return Evening(
        closing_at=closing_at,
        hints=hints_shown(store, number),
        still=tuple(_still(sight)),
        running=tuple(place_of(sight, s.stage) for s in sight.standings.values() if s.state == "running"),
        wet=tuple(_wet(sight)),
        cautions=tuple(dict.fromkeys(_cautions(sight, closing_at))),
        send=to_send_tonight(sight, dues_shown(store, sight)),
    )


def closing_of(sight: Sight) -> datetime | None:
    """When the shop closes today; None on a day on which it stays shut."""
    day = open_day(sight.world.calendar, local(sight.world.calendar, sight.now).date())
    return day[1] if day else None


def _still(sight: Sight) -> Iterator[StillAt]:
    for person, at in sight.replayed.people.items():
        if person in sight.world.people:
            places = tuple(place_of(sight, s) for s in at.stages if s in sight.world.stages)
            shop = (at.shop or "shop time") if not places else ""
            yield StillAt(person, sight.world.people[person].name, places, shop)


def _wet(sight: Sight) -> Iterator[Wet]:
    """The coats that are not dust-free yet; where no mark says it, that may not be handled yet."""
    for standing in sight.standings.values():
        stage = sight.world.stages[standing.stage]
        if not stage.recipes or in_force(stage.recipes, sight.now).kind != "finish":
            continue
        for made, cured in standing.cures:
            dry_at = opens_at(cured, "dust free") or opens_at(cured, "handle") or cured.gate_at()
            if dry_at is not None and dry_at > sight.now:
                yield Wet(place_of(sight, stage.id, made), dry_at)


def _cautions(sight: Sight, closing_at: datetime) -> Iterator[str]:
    """What the finishes ask for that were used since this day began."""
    for standing in sight.standings.values():
        stage = sight.world.stages[standing.stage]
        recipe = in_force(stage.recipes, sight.now) if stage.recipes else None
        if recipe is None or recipe.kind != "finish" or not recipe.caution:
            continue
        if any(made.cured_from > closing_at - timedelta(hours=16) for made, _ in standing.cures):
            yield recipe.caution
