"""Taps as tablets make them, sent to a shop's database, and what that has afterwards."""

import sqlite3
from datetime import UTC, datetime, timedelta

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Entry, Replayed
from shoptrack.flows.record import Receipt, accept, parse_envelope
from shoptrack.store import log, snapshot, tally, worked
from shoptrack.store.db import Store

NOW = datetime(2025, 3, 4, 9, 0, tzinfo=UTC)
"""A Tuesday in the middle of the morning."""
LATER = NOW + timedelta(hours=9)


def made(kind: str, seq: int, at: datetime = NOW, **said: object) -> dict[str, object]:
    """A tap as a tablet makes it."""
    return {"id": said.pop("id", f"tap-{seq:05d}"), "seq": seq, "kind": kind, "at": at.isoformat(), **said}


def send(
    store: Store, *taps: object, now: datetime = NOW, sent_at: datetime | None = None, device: str = "tablet"
) -> Receipt:
    """Send taps in one envelope; the tablet's clock is right unless ``sent_at`` is another."""
    body = {"device": device, "sent_at": (sent_at or now).isoformat(), "entries": list(taps)}
    return accept(store, parse_envelope(body), now)


def book(store: Store) -> dict[str, Entry]:
    """The log by id, in the order it was written."""
    with store.reading() as session:
        return {entry.id: entry for entry in log.whole_log(session)}


def aside(store: Store) -> list[tuple[str, str]]:
    """What was set aside and not seen to, with the reasons."""
    with store.reading() as session:
        return [(row.id, row.reason) for row in log.list_set_aside(session)]


def statuses(receipt: Receipt) -> list[str]:
    return [answer.status for answer in receipt.answers]


def kept(store: Store) -> list[str]:
    with store.reading() as session:
        return [row.id for row in log.kept(session)]


def whole_state(store: Store, now: datetime) -> Replayed:
    with store.reading() as session:
        return replay(log.whole_log(session), snapshot.whole_world(session), now)


def tallied(store: Store) -> dict[int, tuple[str, float]]:
    file = sqlite3.connect(f"file:{store.path}?mode=ro", uri=True)
    rows = file.execute("SELECT stage_id, standing, attended_min FROM tally WHERE redo = 0").fetchall()
    file.close()
    return {stage: (standing, minutes) for stage, standing, minutes in rows}


def differences(store: Store) -> list[str]:
    """Where the tally, or when tools were at work, is not what the whole log says."""
    passes = [p for many in whole_state(store, LATER).passes.values() for p in many]
    with store.reading() as session:
        world = snapshot.whole_world(session)
        return tally.differences(session, passes) + worked.differences(session, passes, world)
