"""A stage that was done → what is kept of it for the next of its pattern's line, and what is shown of it."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from shoptrack.engine.replay import live_entries
from shoptrack.engine.shapes import Entry, Spoil
from shoptrack.engine.units import show_minutes
from shoptrack.errors import NotFound, Refused
from shoptrack.flows.bench import BenchView
from shoptrack.flows.shopfloor import Sight, sight_of
from shoptrack.store.db import Store
from shoptrack.store.jobs import job_of_stage
from shoptrack.store.last_times import Remembered, Said, keep, remembered

LONGEST = 1000


def keep_for_next_time(store: Store, stage: int, words: str, who: int | None, now: datetime) -> int:
    """Keep a stage's minutes, measure, photo and trouble for the next of its line; gives its job.

    Takes what went wrong in somebody's words, if anything; what the log says was spoiled or mended comes
    with it. Raises NotFound, Refused for a stage on which nothing was done or that no pattern remembers.
    """
    with store.writing() as session:
        job = job_of_stage(session, stage)
        if job is None:
            raise NotFound("There is no such stage.")
        own = remembered(session, [stage])[stage].own
        sight = sight_of(store, session, now, (job,))
        keep(session, stage, _said(sight, stage, words.strip() or (own.trouble if own else "")), who, now)
    return job


def _said(sight: Sight, stage: int, words: str) -> Said:
    passes = sight.replayed.passes.get(stage, ())
    minutes = sum(p.attended_min for p in passes) or sum(p.machine_min for p in passes)
    if not minutes and not any(p.finished_at for p in passes):
        raise Refused("Nothing was done on this stage yet.")
    log = trouble(sight, stage)
    return Said(
        minutes=minutes or None,
        quantity=passes[0].quantity,
        trouble="; ".join([*([words] if words else []), *(part for part in log if part not in words)])[
            :LONGEST
        ],
    )


def trouble(sight: Sight, stage: int) -> list[str]:
    """What the log says went wrong on a stage: what was found spoiled there, what was mended."""
    spoils = [_spoiled(s) for s in sight.replayed.spoils if s.found_at == stage]
    entries = live_entries(sight.entries)
    return spoils + [_mended(e) for e in entries if e.kind == "mend" and stage in e.stages]


def _spoiled(spoil: Spoil) -> str:
    return f"{spoil.count:g} of {spoil.out_of:g} spoiled, {spoil.cause}"


def _mended(e: Entry) -> str:
    took = f", {show_minutes(e.minutes)}" if e.minutes else ""
    return f"mended{took}{f': {e.text}' if e.text else ''}"


def shown_on(store: Store, view: BenchView) -> Mapping[int, Remembered]:
    """What was said last time of the stages that a bench shows whole: in hand, next, last tapped."""
    wanted = [line.stage.id for line in view.hand.stages] if view.hand else []
    wanted += [choice.stage.id for choice in view.choices[:1]]
    wanted += view.last.finished if view.last else []
    return of(store, wanted)


def of(store: Store, stages: Iterable[int]) -> Mapping[int, Remembered]:
    """What was said last time of stages, by id, in one query."""
    with store.reading() as session:
        return remembered(session, list(dict.fromkeys(stages)))
