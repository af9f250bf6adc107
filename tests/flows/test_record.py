"""Taps become entries of the log: once, in order, with a plain reason where one can't be taken."""

from datetime import timedelta

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows import record
from shoptrack.flows.at_hand import AtHand
from shoptrack.flows.record import Answer, tap
from shoptrack.store.db import Store, head
from tests.flows.taps import NOW, aside, book, differences, made, send, statuses, tallied


def test_a_tap_is_in_the_log_and_answered_done(store: Store) -> None:
    receipt = send(store, made("start", 1, person=1, stages=[11]))
    assert receipt.answers == (Answer("tap-00001", "done"),)
    entry = book(store)["tap-00001"]
    assert (entry.kind, entry.person, entry.stages, entry.at) == ("start", 1, (11,), NOW)


def test_one_stage_may_be_said_as_stage(store: Store) -> None:
    send(store, made("start", 1, person=1, stage=11))
    assert book(store)["tap-00001"].stages == (11,)


def test_the_same_taps_again_change_nothing(store: Store) -> None:
    """The reply was lost; the tablet sends a good tap and a bad one again, two times over."""
    taps = made("start", 1, person=1, stages=[11]), made("start", 2, person=1, stages=[999])
    first = send(store, *taps)
    again = [send(store, *taps, now=NOW + timedelta(minutes=m)) for m in (1, 2)]
    assert first.answers[1].reason == "There is no stage 999 in this shop's book."
    assert all(receipt.answers == first.answers for receipt in again)
    assert all(receipt.revision == first.revision for receipt in again)
    assert len(book(store)) == len(aside(store)) == 1


def test_a_tap_twice_in_one_envelope_counts_once(store: Store) -> None:
    start = made("start", 1, person=1, stages=[11])
    assert statuses(send(store, start, start)) == ["done", "done"]
    assert len(book(store)) == 1


def test_same_id_with_other_content_is_set_aside_and_the_first_stays(store: Store) -> None:
    send(store, made("finish", 1, person=1, stages=[11], count=18))
    receipt = send(store, made("finish", 1, person=1, stages=[11], count=19))
    assert receipt.answers == (
        Answer("tap-00001", "set aside", "Another tap with the same id is in the book already."),
    )
    assert book(store)["tap-00001"].count == 18
    assert send(store, made("finish", 1, person=1, stages=[11], count=19)).answers == receipt.answers


def test_two_taps_with_one_number_of_a_tablet_conflict(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[11]))
    receipt = send(store, made("finish", 1, person=1, stages=[11], id="another-1"))
    assert receipt.answers[0].reason == "Another tap of this tablet has the same number."


def test_one_bad_tap_blocks_none(store: Store) -> None:
    """Between two good taps lie one that is no tap at all, one of no kind and one that is no object."""
    good = made("start", 1, person=1, stages=[11]), made("finish", 9, person=1, stages=[11])
    receipt = send(store, good[0], {}, made("nap", 2), 17, good[1])
    assert statuses(receipt) == ["done", "set aside", "set aside", "set aside", "done"]
    assert [a.id for a in receipt.answers] == ["tap-00001", "", "tap-00002", "", "tap-00009"]


GOOD = [
    made("start", 2, person=1, stages=[11, 21]),
    made("start", 3, person=1, text="sweeping"),
    made("start", 4, person=1, stages=[14], insisted=True),
    made("spread", 5, person=1, stages=[12]),
    made("closed", 6, person=1, stages=[12], count=7, told="K7 off 14:10"),
    made("round", 7, person=1, stages=[13], count=6.5),
    made("pause", 8, person=1, stages=[], goes_on=True),
    made("finish", 9, stages=[11, 21]),
    made("unclamp", 10, stages=[12], count=4),
    made("tended", 11, stages=[12], choice="scrape"),
    made("help", 12, person=1, stages=[11], helper=2, minutes=20),
    made("mend", 13, stages=[11], minutes=15, cents=250, text="a patch"),
    made("spoil", 14, stages=[13], count=2, out_of=20, way_back=12, cause="dull edge"),
    made("answer", 15, of="tap-00002", asks="still-on", choice="other", minutes=40),
    made("retime", 16, of="tap-00002", to_at=(NOW - timedelta(minutes=5)).isoformat()),
    made("strike", 17, of="tap-00016"),
    made("strike", 18, of="tap-00017"),
    made("put-aside", 19, job=1, reason="customer's answer", look_again_on="2025-03-10"),
    made("take-up", 20, stages=[21]),
    made("recount", 21, pool=1, count=0),
    made("temperature", 22, room=1, value_c=11.5),
    made("note", 23, stages=[11], text="Grain runs out at one end.\nTake light cuts.", person=None),
    made("edge", 24, person=1, tool=1, choice="fitted", edge=2),
    made("edge", 25, tool=1, choice="sent", cents=1850, look_again_on="2025-03-11", text="with the others"),
    made("edge", 26, tool=1, choice="meter", minutes=74_460),
]


def test_every_kind_comes_back_as_it_was_said(store: Store) -> None:
    """One of each kind in one envelope, later ones speaking of earlier ones, through file and back."""
    assert statuses(send(store, *GOOD)) == ["done"] * len(GOOD)
    stored = book(store)
    assert {e.kind for e in stored.values()} == set(record.KINDS)
    assert stored["tap-00005"].stages == (12,)
    assert (stored["tap-00006"].count, stored["tap-00006"].told) == (7, "K7 off 14:10")
    assert stored["tap-00016"].to_at == NOW - timedelta(minutes=5)
    assert stored["tap-00018"].of == "tap-00017"
    assert str(stored["tap-00019"].look_again_on) == "2025-03-10"
    assert stored["tap-00021"].count == 0
    assert stored["tap-00023"].text.endswith("Take light cuts.")
    assert (stored["tap-00024"].tool, stored["tap-00024"].edge) == (1, 2)
    assert str(stored["tap-00025"].look_again_on) == "2025-03-11"
    assert stored["tap-00026"].minutes == 74_460


def test_what_is_about_state_is_taken(store: Store) -> None:
    """A finish without a start, a pause with nothing in hand, a start too early: all are in the log."""
    odd = (
        made("finish", 1, person=1, stages=[14]),
        made("pause", 2, person=2, stages=[21]),
        made("start", 3, person=2, stages=[24]),
        made("start", 4, person=2, stages=[31]),  # a job closed long ago
    )
    assert statuses(send(store, *odd)) == ["done"] * 4


def test_a_start_carries_twice_its_rule_of_thumb(store: Store) -> None:
    """Milling 20 min + 3 a piece, sanding 5 + 4, 20 pieces each.

    Alone: 2 × (20 + 60) = 160. Milling of two jobs together: 2 × (20 + 3 × 40) = 280. Milling and sanding
    together: 2 × (20 + 60 + 80) = 320, the larger set-up once. Shop time has none.
    """
    starts = [[11], [11, 21], [11, 13]]
    taps = [made("start", i, person=1, stages=s) for i, s in enumerate(starts, 1)]
    send(store, *taps, made("start", 4, person=1, text="honing"))
    assert [e.limit_min for e in book(store).values()] == [160, 280, 320, None]


def test_the_tally_follows_the_taps(store: Store) -> None:
    """Ann mills from 9:00 to 10:30; the strike of her finish leaves it in hand."""
    send(store, made("start", 1, person=1, stages=[11]))
    end = NOW + timedelta(minutes=90)
    send(store, made("finish", 2, end, person=1, stages=[11]), now=end)
    assert tallied(store)[11] == ("done", 90)
    send(store, made("strike", 3, end, person=1, of="tap-00002"), now=end)
    assert tallied(store)[11] == ("in hand", 90)


def test_the_tally_of_a_closed_job_follows_too(store: Store) -> None:
    end = NOW + timedelta(minutes=30)
    send(store, made("start", 1, person=1, stages=[31]))
    send(store, made("finish", 2, end, person=1, stages=[31]), now=end)
    assert tallied(store)[31] == ("done", 30)
    send(
        store,
        made("retime", 3, end, of="tap-00001", to_at=(NOW + timedelta(minutes=10)).isoformat()),
        now=end,
    )
    assert tallied(store)[31] == ("done", 20)


def test_taps_are_kept_though_the_tally_breaks(
    store: Store, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The replay has a fault: the tap is in the log and answered, the fault told; the next tap mends it."""

    def broken(*_: object) -> AtHand:
        raise ZeroDivisionError

    with monkeypatch.context() as patched:
        patched.setattr(AtHand, "stand_at", broken)
        receipt = send(store, made("start", 1, person=1, stages=[11]))
    assert statuses(receipt) == ["done"]
    assert book(store)
    assert "tally could not be made" in caplog.text
    assert differences(store) == ["Stage 11 has no row."]
    send(store, made("temperature", 2, room=1, value_c=18))
    assert tallied(store)[11][0] == "in hand"


def test_a_form_sent_twice_counts_once(store: Store) -> None:
    """The button was pressed again a minute later; changed and sent with the same hidden id, it conflicts."""
    said = {"id": "form-0001", "person": 1, "kind": "finish", "stages": (11,)}
    assert tap(store, now=NOW, count=18, **said).status == "done"
    assert tap(store, now=NOW + timedelta(minutes=1), count=18, **said).status == "done"
    assert tap(store, now=NOW + timedelta(minutes=1), count=19, **said).status == "set aside"
    entry = book(store)["form-0001"]
    assert (entry.device, entry.seq, entry.at, entry.count) == ("form", 1, NOW, 18)


def test_a_forms_empty_fields_say_nothing_and_zeros_do(store: Store) -> None:
    answer = tap(store, id="form-0001", person=None, kind="recount", now=NOW, pool=1, count=0, text="")
    assert answer == Answer("form-0001", "done")
    assert book(store)["form-0001"].count == 0


def test_forms_are_numbered_and_may_be_earlier(store: Store) -> None:
    tap(store, id="form-0001", person=1, kind="start", now=NOW, stages=(11,))
    tap(
        store, id="form-0002", person=1, kind="finish", now=NOW + timedelta(hours=1), stages=(11,), ago_min=10
    )
    entry = book(store)["form-0002"]
    assert (entry.seq, entry.at) == (2, NOW + timedelta(minutes=50))


def test_a_form_moves_an_entry_with_instants(store: Store) -> None:
    tap(store, id="form-0001", person=1, kind="start", now=NOW, stages=(11,))
    to_at = NOW - timedelta(minutes=20)
    tap(store, id="form-0002", person=1, kind="retime", now=NOW, of="form-0001", to_at=to_at)
    assert book(store)["form-0002"].to_at == to_at


def test_no_tablet_may_be_the_form(store: Store) -> None:
    with pytest.raises(BadInput):
        send(store, device="form")


def test_a_strike_that_came_before_what_it_strikes_counts_once_that_comes(store: Store) -> None:
    """After a restore the tablets offer all their taps again, the one with the strike first."""
    strike = made("strike", 1, id="strike-01", of="tap-00007")
    assert statuses(send(store, strike, device="other")) == ["set aside"]
    assert len(aside(store)) == 1
    later = NOW + timedelta(minutes=3)
    send(store, made("start", 7, person=1, stages=[11]), now=later, sent_at=later)
    assert aside(store) == []
    assert set(book(store)) == {"tap-00007", "strike-01"}
    assert book(store)["strike-01"].at == NOW
    assert statuses(send(store, strike, device="other")) == ["done"]


def test_revision_rises_once_an_envelope(store: Store) -> None:
    with store.reading() as session:
        before = head(session).revision
    assert send(store, *GOOD).revision == before + 1
