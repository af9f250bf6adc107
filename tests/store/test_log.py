"""Entries in and out of the log, and what lies beside it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from shoptrack.engine.shapes import Entry
from shoptrack.store import log
from shoptrack.store.db import Store
from shoptrack.store.jobs import close_job
from tests.store.making import NOW, furnish, order, put

H = timedelta(hours=1)
D = timedelta(days=1)
FULL = Entry(
    id="full",
    device="bench",
    seq=1,
    at=NOW,
    kind="spoil",
    asks="the edge?",
    choice="yes",
    to_at=NOW - H,
    count=2.5,
    out_of=20,
    minutes=12.25,
    cents=150,
    helper=2,
    way_back=3,
    cause="dull edge",
    reason="waits for hinges",
    look_again_on=date(2026, 3, 9),
    room=1,
    pool=1,
    value_c=17.5,
    text="knot tore out",
    told="Ann",
    insisted=True,
    goes_on=True,
    limit_min=90.0,
    tapped_at=NOW + H,
)


def test_an_entry_comes_out_as_it_went_in(store: Store) -> None:
    """Every field that an entry can have, and its stages in the order of the tap, not of their ids."""
    with store.writing() as session:
        made = furnish(session)
        job, stages = order(session, made)
        put(session, 9, NOW - H, "start", person=made.ann, stages=(stages[0],))
        entry = replace(FULL, person=made.ben, job=job, of="e9", stages=tuple(reversed(stages)))
        log.append(session, [log.Written(entry, {}, "print")], NOW)
    with store.reading() as session:
        assert log.entry(session, "full") == entry
        assert log.entry(session, "nothing") is None
        assert log.whole_log(session)[1] == entry


def test_the_body_says_only_what_differs_from_the_usual() -> None:
    """Instants as RFC 3339 in UTC, days as ISO 8601."""
    assert log.body_of(Entry("a", "bench", 1, NOW, "start", person=1, stages=(4,))) == {}
    body = log.body_of(FULL)
    assert body["to_at"] == "2026-03-02T08:00:00Z"
    assert body["look_again_on"] == "2026-03-09"
    assert "limit_min" not in body  # it has a column


def test_what_else_the_tablet_said_is_kept_and_not_read_as_an_entry(store: Store) -> None:
    entry = Entry("a", "bench", 1, NOW, "temperature", value_c=12.0, tapped_at=NOW)
    with store.writing() as session:
        log.append(session, [log.Written(entry, {"device_at": "2026-03-02T08:59:00Z"}, "print")], NOW)
    with store.reading() as session:
        assert log.entry(session, "a") == entry


def test_the_same_id_or_number_twice_is_refused(store: Store) -> None:
    with store.writing() as session:
        put(session, 1, NOW, "note")
    for id, seq in (("e1", 2), ("other", 1)):
        twice = Entry(id, "bench", seq, NOW, "note")
        with pytest.raises(IntegrityError, match="UNIQUE"), store.writing() as session:
            log.append(session, [log.Written(twice, {}, "print")], NOW)


def test_fingerprints_and_the_next_number(store: Store) -> None:
    with store.writing() as session:
        put(session, 4, NOW, "note")
        assert log.stored(session, ["e4", "e5"]) == {"e4": "print 4"}
        assert log.next_seq(session, "bench") == 5
        assert log.next_seq(session, "desk") == 1
        log.keep(
            session, id="k", device="bench", seq=8, device_at=NOW, body={}, body_hash="p", received_at=NOW
        )
        assert log.next_seq(session, "bench") == 9


def test_taps_set_aside_are_kept_once_and_listed_until_seen(store: Store) -> None:
    def lay(body_hash: str) -> None:
        log.set_aside(
            session,
            id="x",
            device="bench",
            body={"kind": "?"},
            body_hash=body_hash,
            reason="no such kind",
            received_at=NOW,
        )

    with store.writing() as session:
        for body_hash in ("one", "one", "two"):
            lay(body_hash)
    with store.writing() as session:
        first, second = log.list_set_aside(session)
        assert (first.body, first.body_hash, second.body_hash) == ({"kind": "?"}, "one", "two")
        reasons = log.set_aside_reasons(session, ["x", "y"])
        assert reasons == {("x", "one"): "no such kind", ("x", "two"): "no such kind"}
        first.seen_at = NOW
    with store.reading() as session:
        assert [row.body_hash for row in log.list_set_aside(session)] == ["two"]


def test_kept_taps_come_in_their_order_and_go_when_settled(store: Store) -> None:
    with store.writing() as session:
        for id, seq in (("b", 2), ("a", 1), ("b", 2)):
            log.keep(
                session,
                id=id,
                device="bench",
                seq=seq,
                device_at=NOW,
                body={"n": seq},
                body_hash=id,
                received_at=NOW,
            )
    with store.writing() as session:
        assert [row.id for row in log.kept(session, "bench")] == ["a", "b"]
        assert [row.id for row in log.kept(session)] == ["a", "b"]
        assert log.kept(session, "desk") == []
        log.drop_kept(session, ["a"])
    with store.reading() as session:
        assert [row.id for row in log.kept(session)] == ["b"]


def test_the_open_log_reaches_back_to_the_oldest_open_job(store: Store) -> None:
    """An old job was closed; of its time only the lasting lines and what touches the open job's are read."""
    with store.writing() as session:
        made = furnish(session)
        old, old_stages = order(session, made, "old tray")
        _, stages = order(session, made)
        begin = {"person": made.ann, "stages": (old_stages[0],)}
        put(session, 1, NOW - 200 * D, "start", **begin)
        put(session, 2, NOW - 199 * D, "finish", **begin)
        put(session, 3, NOW - 198 * D, "recount", pool=made.pool, count=9)
        put(session, 4, NOW - 197 * D, "temperature", room=made.room, value_c=15.0)
        put(session, 5, NOW - 60 * D, "temperature", room=made.room, value_c=16.0)
        put(session, 6, NOW - 30 * D, "start", person=made.ben, stages=(stages[0],))
        put(session, 7, NOW - 29 * D, "finish", person=made.ben, stages=(stages[0],))
        put(session, 8, NOW, "strike", of="e2")
        put(session, 9, NOW, "strike", of="e8")
        close_job(session, old, NOW)
    with store.reading() as session:
        read = {entry.id for entry in log.open_log(session)}
        asked = {entry.id for entry in log.open_log(session, [old])}
    assert read == {"e2", "e3", "e5", "e6", "e7", "e8", "e9"}  # e2 because a strike in the window means it
    assert asked == read | {"e1", "e4"}


def test_a_moved_entry_reaches_back_to_where_it_was_moved(store: Store) -> None:
    """The open job's only start is moved back by twenty days, past a start of Ann's on a closed job."""
    with store.writing() as session:
        made = furnish(session)
        old, old_stages = order(session, made, "old tray")
        _, stages = order(session, made)
        put(session, 1, NOW - 25 * D, "start", person=made.ann, stages=(old_stages[0],))
        put(session, 2, NOW - 15 * D, "start", person=made.ann, stages=(old_stages[1],))
        put(session, 3, NOW, "start", person=made.ann, stages=(stages[0],))
        put(session, 4, NOW, "retime", of="e3", to_at=NOW - 20 * D)
        close_job(session, old, NOW)
    with store.reading() as session:
        assert {entry.id for entry in log.open_log(session)} == {"e2", "e3", "e4"}


def test_an_empty_log_reads_as_nothing(store: Store) -> None:
    with store.reading() as session:
        assert log.open_log(session) == []
        assert log.open_log(session, [1]) == []
        assert log.whole_log(session) == []


def test_instants_come_back_in_utc(store: Store) -> None:
    with store.writing() as session:
        put(session, 1, NOW.astimezone(), "note")
        found = log.entry(session, "e1")
    assert found is not None
    assert found.at == NOW
    assert found.at.tzinfo is UTC


def test_a_naive_instant_is_refused(store: Store) -> None:
    naive = datetime(2026, 3, 2, 9)  # noqa: DTZ001 # the mistake under test
    with pytest.raises(Exception, match="without a zone"), store.writing() as session:
        put(session, 1, naive, "note")
