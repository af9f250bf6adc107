"""Taps that read well meet this shop's book: taken, or set aside for what is not in it."""

from datetime import timedelta

import pytest

from shoptrack.store.db import Store
from tests.flows.taps import NOW, aside, book, made, send

WRONG = [
    (made("start", 1, person=9, stages=[11]), "There is no person 9 in this shop's book."),
    (
        made("spoil", 1, stages=[13], count=2, out_of=20, way_back=22, cause="wood"),
        "The stage it goes back to belongs to another job.",
    ),
    (made("strike", 1, of="never-was-there"), "The entry this tap means is not in this shop's book."),
    (made("strike", 1, of="tap-00001"), "The entry this tap means is not in this shop's book."),
    (made("put-aside", 1, job=77, reason="lumber"), "There is no job 77 in this shop's book."),
    (made("recount", 1, pool=4, count=3), "There are no clamps 4 in this shop's book."),
    (made("temperature", 1, room=3, value_c=15), "There is no room 3 in this shop's book."),
    (made("edge", 1, tool=7, choice="found dull"), "There is no tool 7 in this shop's book."),
    (
        made("edge", 1, tool=1, choice="fitted", edge=9),
        "There is no edge 9 of this tool in this shop's book.",
    ),
    (
        made("edge", 1, tool=1, choice="fitted", edge=3),
        "There is no edge 3 of this tool in this shop's book.",
    ),
    (
        made("note", 1, NOW - timedelta(days=401), job=1, text="x"),
        "By the tablet's clock this tap was made more",
    ),
]


@pytest.mark.parametrize(("sent", "reason"), WRONG, ids=[reason[:40] for _, reason in WRONG])
def test_a_tap_of_what_is_not_here_is_set_aside_and_kept(
    store: Store, sent: dict[str, object], reason: str
) -> None:
    receipt = send(store, sent)
    assert receipt.answers[0].status == "set aside"
    assert receipt.answers[0].reason.startswith(reason)
    assert receipt.answers[0].reason.endswith(".")
    assert len(aside(store)) == 1
    assert not book(store)
    assert send(store, sent) == receipt


def test_an_entry_of_the_same_envelope_may_be_meant(store: Store) -> None:
    """A start and its strike lay in the outbox together, in the order they were tapped."""
    start, strike = made("start", 1, person=1, stages=[11]), made("strike", 2, of="tap-00001")
    assert [a.status for a in send(store, start, strike).answers] == ["done", "done"]


def test_two_strikes_can_not_mean_each_other(store: Store) -> None:
    first, second = made("strike", 1, of="tap-00002"), made("strike", 2, of="tap-00001")
    send(store, first, second)
    assert not book(store)


def test_a_tap_corrected_after_it_was_set_aside_is_taken(store: Store) -> None:
    """Its id was never in the book, so the better tap is no conflict."""
    send(store, made("start", 1, person=9, stages=[11]))
    assert send(store, made("start", 1, person=1, stages=[11])).answers[0].status == "done"


def test_retired_people_and_closed_jobs_may_be_meant(store: Store) -> None:
    assert send(store, made("note", 1, job=3, text="found its lid")).answers[0].status == "done"


def test_fourteen_months_are_too_old_and_twelve_are_not(store: Store) -> None:
    old = made("note", 1, NOW - timedelta(days=390), job=1, text="x")
    assert send(store, old).answers[0].status == "done"
