"""A job that is about to be closed → everybody taken off it, and its machines stopped, in the log."""

from collections.abc import Iterator
from datetime import datetime
from uuid import NAMESPACE_OID, uuid5

from shoptrack.engine.shapes import Pass
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store.db import Store

Begun = tuple[str, int]
"""The entry that something in hand was begun by, and the person."""


def let_go(store: Store, job_id: int, now: datetime) -> None:
    """Set down, in their names, what people have in hand of an open job; where nobody has, nothing changes.

    Otherwise their minutes would go on at a job that is over, until they begin something else.
    """
    for (entry, person), stages in _in_hand(store, job_id, now).items():
        own = uuid5(NAMESPACE_OID, f"{entry} of job {job_id}").hex  # the same each time: it is written once
        tap(store, id=own, person=person, kind="pause", stages=stages, now=now)


def _in_hand(store: Store, job_id: int, now: datetime) -> dict[Begun, list[int]]:
    """What there is to set down: the stages of the job by how they were begun. Empty: nothing."""
    sight = gather_job(store, job_id, now)
    job = sight.world.jobs.get(job_id)
    found: dict[Begun, list[int]] = {}
    if job is not None and job.closed_at is None:
        for passes in sight.replayed.passes.values():
            for work in (one for one in passes if one.job == job_id):
                for begun in _begun(work):
                    found.setdefault(begun, []).append(work.stage)
    return found


def _begun(work: Pass) -> Iterator[Begun]:
    """The open stints on a pass, or whoever started its machine where it runs with nobody at it."""
    yield from ((stint.start_id, stint.person) for stint in work.open_stints)
    if work.running and not work.open_stints and work.runs[-1].started_by:
        started_at = int(work.runs[-1].start.timestamp())
        yield f"machine-{work.stage}-{started_at}", work.runs[-1].started_by
