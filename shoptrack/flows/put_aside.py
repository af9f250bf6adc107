"""What was put aside → lines of the Bench and, once the day to look again has come, of the Floor."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Aside
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True, slots=True)
class Away:
    """A job put aside as a whole (``stage`` None), or one stage of it: why, and the day to look again."""

    job: int
    stage: int | None
    tag: str
    title: str
    name: str
    reason: str
    text: str
    look_again_on: date | None


def put_aside(sight: Sight) -> tuple[Away, ...]:
    """All that is put aside in open jobs, first what is to be looked at again. Empty: nothing is."""
    return tuple(sorted(_away(sight), key=lambda a: (a.look_again_on or date.max, a.job, a.stage or 0)))


def look_again(sight: Sight) -> tuple[Away, ...]:
    """What is to be looked at again today or should have been. Empty: nothing, or no day was said."""
    today = local(sight.world.calendar, sight.now).date()
    return tuple(a for a in put_aside(sight) if a.look_again_on is not None and a.look_again_on <= today)


def _away(sight: Sight) -> Iterator[Away]:
    entries = set[tuple[int, str]]()
    for stage, aside in sight.replayed.asides.items():
        job = sight.world.stages[stage].job
        if stage not in sight.standings or sight.world.jobs[job].closed_at is not None:
            continue
        if aside.whole_job and (job, aside.entry) in entries:
            continue
        entries.add((job, aside.entry))
        yield _line(sight, job, aside)


def _line(sight: Sight, job: int, aside: Aside) -> Away:
    row = sight.world.jobs[job]
    return Away(
        job=job,
        stage=None if aside.whole_job else aside.stage,
        tag=row.tag,
        title=row.title,
        name="" if aside.whole_job else sight.world.stages[aside.stage].name,
        reason=aside.reason,
        text=aside.text,
        look_again_on=aside.look_again_on,
    )
