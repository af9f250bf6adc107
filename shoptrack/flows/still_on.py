"""Closed rounds → the clamps that are still on them, and the marks that need hands: scraping, wiping."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.marks import opens_at
from shoptrack.engine.shapes import FAR, Mark, Stage
from shoptrack.flows.shopfloor import Sight

TENDED = ("scrape", "wipe")


@dataclass(frozen=True, slots=True)
class Held:
    """A closed round whose clamps are still on it: how many, and from when they may come off."""

    stage: Stage
    tag: str
    clamps: int
    off_at: datetime | None
    early: bool


@dataclass(frozen=True, slots=True)
class Tend:
    """A mark of a closed round that needs hands: squeeze-out to scrape, oil to wipe off."""

    stage: Stage
    tag: str
    mark: Mark
    from_at: datetime | None
    until_at: datetime | None
    missed: bool


def held(sight: Sight, now: datetime) -> Iterator[Held]:
    """The closed rounds whose clamps are on, soonest off first."""
    found = [
        (sight.world.stages[standing.stage], sum(n for _, n in made.clamps), opens_at(cure, "clamps off"))
        for standing in sight.standings.values()
        for made, cure in standing.cures
        if made.clamps
    ]
    for stage, clamps, off_at in sorted(found, key=lambda f: (f[2] or FAR, f[0].id)):
        early = off_at is None or off_at > now
        yield Held(stage, sight.world.jobs[stage.job].tag, clamps, off_at, early)


def tends(sight: Sight) -> Iterator[Tend]:
    """The scrapings and wipings to come that nobody has said were done."""
    for until in sight.untils:
        stage, mark = sight.world.stages[until.stage], until.mark
        if mark.mark.role in TENDED:
            tag = sight.world.jobs[stage.job].tag
            yield Tend(stage, tag, mark.mark, mark.from_at, mark.until_at, until.missed)
