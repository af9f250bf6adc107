"""Taps that counted the clamps on the wall → the same with what each open job held at that instant."""

import logging
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from sqlalchemy.orm import Session

from shoptrack.engine.replay import Reader, live_entries
from shoptrack.engine.shapes import Entry
from shoptrack.flows.at_hand import AtHand, read_at_hand
from shoptrack.store.db import Head

LOGGER = logging.getLogger("shoptrack.record")


def with_held(session: Session, entries: Sequence[Entry], head: Head, left: AtHand | None) -> list[Entry]:
    """The entries, each recount with the clamps of its pool that each open job held at its instant.

    Years later the part of the log that says so is no longer read, since those jobs are closed. Should the
    replay break, the recount is taken without it.
    """
    if not any(e.kind == "recount" for e in entries):
        return list(entries)
    try:
        with session.begin_nested():
            at_hand = left if left is not None and left.head == head else read_at_hand(session, head)
            held = dict(_held(at_hand, entries))
    except Exception:
        LOGGER.exception("What jobs held when the clamps were counted could not be found.")
        return list(entries)
    return [replace(e, held=held.get(e.id, e.held)) for e in entries]


def _held(at_hand: AtHand, entries: Iterable[Entry]) -> Iterator[tuple[str, tuple[tuple[int, int], ...]]]:
    """Each recount's id with (job, clamps) of its pool, by the log as it stands with these entries in it."""
    reader = Reader(at_hand.world, at_hand.open_and(()))
    fresh = {e.id for e in entries}
    for e in live_entries([*at_hand.entries, *entries]):
        if e.id in fresh and e.kind == "recount" and e.pool is not None:
            by_job = reader.book.held_by(e.pool)
            yield e.id, tuple((job, n) for job, n in sorted(by_job.items()) if n and job in reader.jobs)
        reader.read([e])
