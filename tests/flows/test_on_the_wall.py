"""Clamps counted on the wall long ago: what closed jobs held then is known though it is no longer read."""

from dataclasses import replace
from datetime import timedelta

from shoptrack.engine.replay import replay
from shoptrack.flows.at_hand import leave_for, read_at_hand
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from shoptrack.store.db import Store, head
from shoptrack.store.jobs import close_job
from shoptrack.store.tables import EntryRow
from tests.joinery import NOW, PIET, Joinery, at

LATER = NOW + timedelta(days=60)


def free(store: Store, when: object = NOW) -> int:
    leave_for(store, None)
    return gather(store, when).replayed.free_clamps[1]  # type: ignore[arg-type]


def counted_while_clamps_were_on(joinery: Joinery) -> int:
    """Four of twelve on a tray, nine counted on the wall: one more than the log has. Gives the job."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("closed", at("12:40"), tray["glue-up"])
    joinery.tap("recount", at("12:50"), person=PIET, pool=1, count=9)
    joinery.tap("unclamp", at("13:10"), tray["glue-up"])
    return tray["job"]


def test_a_recount_is_kept_with_what_each_open_job_held(joinery: Joinery) -> None:
    job = counted_while_clamps_were_on(joinery)
    with joinery.store.reading() as session:
        (count,) = [e for e in log.whole_log(session) if e.kind == "recount"]
        row = session.query(EntryRow).filter_by(id=count.id).one()
    assert count.held == ((job, 4),)
    assert row.body["held"] == [[job, 4]]


def test_its_fingerprint_is_of_what_was_sent_and_the_second_sending_is_answered_again(
    joinery: Joinery,
) -> None:
    sent = {"id": "count-0001", "seq": 1, "kind": "recount", "at": NOW.isoformat(), "pool": 1, "count": 7}
    envelope = parse_envelope({"device": "wall", "sent_at": NOW.isoformat(), "entries": [sent]})
    for _ in range(2):
        assert accept(joinery.store, envelope, NOW).answers[0].status == "done"


def test_older_than_the_window_it_still_counts_right(joinery: Joinery) -> None:
    """The tray is closed; two months later nothing of its clamps is read, but the recount is."""
    job = counted_while_clamps_were_on(joinery)
    assert free(joinery.store) == 13
    with joinery.store.writing() as session:
        close_job(session, job, at("13:20"))
    door = joinery.add("door", "door", None)
    joinery.tap("start", LATER, door["frame"])
    with joinery.store.reading() as session:
        at_hand = read_at_hand(session, head(session))
        old = {e.kind for e in at_hand.entries if e.at < NOW}
        whole = replay(log.whole_log(session), at_hand.world, LATER, at_hand.jobs)
    assert old == {"recount"}, "the window holds the recount alone"
    assert free(joinery.store, LATER) == whole.free_clamps[1] == 13


def test_without_it_the_closed_job_would_be_forgotten(joinery: Joinery) -> None:
    """The fault that the kept count cures, shown on an entry from before it was kept."""
    job = counted_while_clamps_were_on(joinery)
    with joinery.store.writing() as session:
        close_job(session, job, at("13:20"))
    joinery.tap("start", LATER, joinery.add("door", "door", None)["frame"])
    with joinery.store.reading() as session:
        at_hand = read_at_hand(session, head(session))
    bare = [replace(e, held=None) for e in at_hand.entries]
    assert replay(bare, at_hand.world, LATER, at_hand.jobs).free_clamps[1] == 9


def test_a_late_tap_before_the_count_is_still_seen(joinery: Joinery) -> None:
    """The clamps had come off before they were counted; that tap comes later: nine hang there, no more."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("closed", at("11:00"), tray["glue-up"])
    joinery.tap("recount", at("12:50"), person=PIET, pool=1, count=9)
    late = {"id": "late-0001", "seq": 1, "kind": "unclamp", "at": at("12:30").isoformat()}
    late |= {"stages": [tray["glue-up"]], "person": PIET}
    envelope = parse_envelope({"device": "away", "sent_at": NOW.isoformat(), "entries": [late]})
    assert accept(joinery.store, envelope, NOW).answers[0].status == "done"
    assert free(joinery.store) == 9
