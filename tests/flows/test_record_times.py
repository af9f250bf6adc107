"""Taps get their times: by the tablet's clock, by the server's, in order, never to come."""

from datetime import timedelta

from shoptrack.flows.record import tap
from shoptrack.store.db import Store
from tests.flows.taps import NOW, book, kept, made, send, statuses, tallied


def test_the_tablets_clock_is_corrected(store: Store) -> None:
    """The tablet is 400 days behind; a tap made half an hour before sending counts half an hour ago."""
    theirs = NOW - timedelta(days=400)
    tapped = made("start", 1, theirs - timedelta(minutes=30), person=1, stages=[11], ago_min=10)
    send(store, tapped, sent_at=theirs)
    entry = book(store)["tap-00001"]
    assert entry.tapped_at == NOW - timedelta(minutes=30)
    assert entry.at == NOW - timedelta(minutes=40)


def test_a_tap_is_never_in_the_future(store: Store) -> None:
    """The tablet's clock was set back between the tap and the sending."""
    send(store, made("start", 1, NOW + timedelta(hours=3), person=1, stages=[11]), sent_at=NOW)
    assert book(store)["tap-00001"].at == NOW


def test_a_tap_is_never_before_the_devices_own_earlier_one(store: Store) -> None:
    """Sent ten minutes later, a tap comes out a minute before the one that was tapped first."""
    send(store, made("start", 1, person=1, stages=[11]))
    late = made("finish", 2, NOW, person=1, stages=[11])
    later = NOW + timedelta(minutes=10)
    send(store, late, now=later, sent_at=later + timedelta(minutes=1))
    first, second = book(store)["tap-00001"], book(store)["tap-00002"]
    assert second.tapped_at == first.tapped_at
    assert first.order < second.order


def test_a_number_that_comes_late_stands_between_its_neighbours(store: Store) -> None:
    """Tap 5 came before tap 3 of the same tablet; tap 3 says a time after it and is put right."""
    send(store, made("start", 5, person=1, stages=[11]))
    later = NOW + timedelta(minutes=10)
    send(store, made("start", 3, later, person=1, stages=[12]), now=later)
    assert book(store)["tap-00003"].tapped_at == NOW


def test_a_move_to_a_time_to_come_is_set_aside(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[11]))
    wrong = [NOW + timedelta(hours=1), NOW - timedelta(days=500)]
    moves = [made("retime", 2 + i, of="tap-00001", to_at=at.isoformat()) for i, at in enumerate(wrong)]
    first, second = send(store, *moves).answers
    assert first.reason == "The time it is moved to has not come yet."
    assert second.reason == "The time it is moved to is more than a year from where it was."


BACK = NOW - timedelta(hours=5)


def test_taps_are_kept_while_the_servers_clock_is_behind(store: Store) -> None:
    """The server woke with its clock five hours back; taps of half an hour are settled when it is right.

    The tablet's own clock is 2 min fast: its offset, learned from its first envelope after, places them.
    """
    send(store, made("start", 1, person=1, stages=[11]), device="other")
    theirs = NOW + timedelta(minutes=32)
    pause = made("pause", 1, theirs, id="kept-0001", person=1, stages=[11])
    bad = made("pause", 2, theirs, id="kept-0002", person=9, stages=[11])
    first = send(store, pause, bad, now=BACK, sent_at=theirs)
    assert statuses(first) == ["done", "set aside"]
    assert kept(store) == ["kept-0001"]
    assert "kept-0001" not in book(store)
    again = send(store, pause, now=BACK + timedelta(minutes=1), sent_at=theirs + timedelta(minutes=1))
    assert (statuses(again), again.revision) == (["done"], first.revision)

    right = NOW + timedelta(minutes=60)
    start = made("start", 3, right + timedelta(minutes=2), id="later-003", person=1, stages=[12])
    send(store, start, now=right, sent_at=right + timedelta(minutes=2))
    assert kept(store) == []
    assert book(store)["kept-0001"].at == NOW + timedelta(minutes=30)
    assert tallied(store)[11] == ("set down", 30)
    assert statuses(send(store, pause, now=right)) == ["done"]


def test_another_tablets_envelope_does_not_settle_kept_taps(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[11]), device="other")
    send(store, made("pause", 1, id="kept-0001", person=1, stages=[11]), now=BACK, sent_at=NOW)
    strike = made("strike", 2, id="strike-01", of="kept-0001")
    assert statuses(send(store, strike, device="other", now=NOW + timedelta(minutes=1))) == ["done"]
    assert sorted(kept(store)) == ["kept-0001", "strike-01"]
    for device in ("tablet", "other"):
        send(store, now=NOW + timedelta(minutes=2), device=device)
    assert kept(store) == []
    assert set(book(store)) == {"tap-00001", "kept-0001", "strike-01"}


def test_a_forms_tap_is_kept_and_settled_too(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[11]))
    assert tap(store, id="form-0001", person=1, kind="pause", now=BACK, stages=(11,)).status == "done"
    assert kept(store) == ["form-0001"]
    tap(store, id="form-0002", person=1, kind="note", now=NOW, job=1, text="clock set")
    assert kept(store) == []
    assert {"form-0001", "form-0002"} <= set(book(store))


def test_two_minutes_behind_is_not_behind(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[11]))
    now = NOW - timedelta(minutes=2)
    send(store, made("finish", 2, person=1, stages=[11]), now=now, sent_at=NOW)
    assert len(book(store)) == 2
