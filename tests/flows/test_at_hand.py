"""What a tap leaves for the next is used only while it still holds."""

from datetime import timedelta

import pytest

from shoptrack.flows import at_hand
from shoptrack.flows.at_hand import left_for
from shoptrack.store import log
from shoptrack.store.db import Store
from shoptrack.store.tables import JobRow, TallyRow
from tests.flows.conftest import job_rows
from tests.flows.taps import NOW, differences, made, send


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows with each time that the log of the open jobs is read."""
    seen: list[int] = []
    real = log.open_log

    def counted(*args: object) -> object:
        seen.append(1)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(at_hand.log, "open_log", counted)
    return seen


def rows(store: Store) -> dict[int, str]:
    with store.reading() as session:
        return {row.stage_id: row.standing for row in session.query(TallyRow)}


def test_taps_one_after_another_read_the_log_once(store: Store, reads: list[int]) -> None:
    for minute in range(5):
        now = NOW + timedelta(minutes=minute)
        send(store, made("start", minute, now, person=1, stages=[11 + minute % 2]), now=now)
    assert len(reads) == 1
    assert rows(store) == {11: "in hand", 12: "set down"}


def test_a_write_by_another_makes_the_next_tap_read_again(store: Store, reads: list[int]) -> None:
    """A job is added between two taps; the second tap is on it."""
    send(store, made("start", 1, person=1, stages=[11]))
    with store.writing() as session:
        session.add_all(job_rows(5, "R2"))
    send(store, made("start", 2, person=1, stages=[51]))
    assert len(reads) == 2
    assert rows(store) == {11: "set down", 51: "in hand"}


def test_what_reaches_further_is_read(store: Store, reads: list[int]) -> None:
    """A tap on a closed job, one of last week, a move: each reads the log itself."""
    send(store, made("start", 1, person=1, stages=[11]))
    week_ago = NOW - timedelta(days=7)
    far = (
        made("start", 2, person=2, stages=[31]),
        made("note", 3, week_ago, job=1, text="x", id="other-003"),
        made("retime", 4, of="tap-00001", to_at=week_ago.isoformat()),
    )
    for number, tap in enumerate(far, 2):
        send(store, tap, device=f"tablet-{number}")
        assert len(reads) == number


def test_a_job_closed_between_is_seen(store: Store, reads: list[int]) -> None:
    send(store, made("start", 1, person=1, stages=[11]))
    with store.writing() as session:
        session.get_one(JobRow, 2).closed_at = NOW
    send(store, made("finish", 2, person=1, stages=[11]))
    assert len(reads) == 2


def test_nothing_is_left_where_nothing_was_written(store: Store) -> None:
    send(store, made("start", 1, person=9, stages=[11]))
    assert left_for(store) is None


def test_a_closed_job_of_which_only_the_end_is_read_keeps_its_tally(store: Store) -> None:
    """A job begun seven weeks ago, finished two days ago and closed: the tap of today reads only its last
    days, from which its first hour can't be known; its tally stays as the whole log says."""
    with store.writing() as session:
        session.add_all(job_rows(6, "R3"))
    for seq, (kind, days) in enumerate((("start", 49), ("pause", 49), ("finish", 2)), start=1):
        then = NOW - timedelta(days=days) + timedelta(minutes=10 * seq)
        send(store, made(kind, seq, then, person=1, stages=[61]), now=then)
    with store.writing() as session:
        session.get_one(JobRow, 6).closed_at = NOW - timedelta(days=1)
    send(store, made("start", 9, person=2, stages=[11]))
    assert differences(store) == []


def test_a_late_tap_cuts_into_a_stint_on_a_job_that_was_closed_since(store: Store) -> None:
    """Ann works on a job at 8:00, it is finished at 10:00 and closed; a tablet that was away says she swept
    from 9:00. The closed job's hours are an hour less, in the tally as in the log."""
    with store.writing() as session:
        session.add_all(job_rows(6, "R3"))
    eight = NOW - timedelta(hours=1)
    send(store, made("start", 1, eight, person=1, stages=[61]), now=eight)
    ten = NOW + timedelta(hours=1)
    send(store, made("finish", 2, ten, person=1, stages=[61]), now=ten)
    with store.writing() as session:
        session.get_one(JobRow, 6).closed_at = ten
    late = made("start", 1, NOW, id="late-0001", person=1, text="sweeping")
    send(store, late, now=ten + timedelta(minutes=5), sent_at=ten + timedelta(minutes=5), device="away")
    assert differences(store) == []
    with store.reading() as session:
        assert session.get_one(TallyRow, (61, 0)).attended_min == 60
