"""Times in memory: read on at the end, anew where an old one was corrected, always as the log has them."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from shoptrack.flows import taught as book
from shoptrack.flows.taught import KindTimes, Taught, by_kind, taught
from shoptrack.store import logs
from shoptrack.store.db import head
from shoptrack.store.edits import edit
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.logs import EARLIEST, Logged
from shoptrack.store.past_times import PastTime, add_past_times
from shoptrack.store.tables import StageRow, TallyRow
from tests.flows.worked import mill
from tests.joinery import NOW, UNA, Joinery


def now_taught(shop: Joinery) -> Taught:
    with shop.store.reading() as session:
        return taught(shop.store, session, head(session))


def as_read(shop: Joinery) -> dict[int, KindTimes]:
    """The same without any memory."""
    with shop.store.reading() as session:
        return by_kind(logs.logged(session))


@pytest.fixture
def whole_reads(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Each time that all times are read, the instant they are read since."""
    found: list[object] = []
    read: Callable[..., list[Logged]] = logs.read_times

    def counting(session: object, since: object = EARLIEST) -> list[Logged]:
        found.append(since)
        return read(session, since)

    monkeypatch.setattr(book.logs, "read_times", counting)
    monkeypatch.setattr(book, "MOST_NEW", 5)
    return found


def test_new_times_are_read_on_without_the_old_ones(joinery: Joinery, whole_reads: list[object]) -> None:
    """Thirty days of milling; another finish is read with the last two weeks only."""
    mill(joinery, [30 + n for n in range(30)])
    assert now_taught(joinery).kinds == as_read(joinery)
    whole_reads.clear()
    mill(joinery, [44], first=-10)
    assert now_taught(joinery).kinds == as_read(joinery)
    assert len(whole_reads) == 2, "once for the memory, once for the comparison"
    assert whole_reads[0] != EARLIEST


def test_an_unchanged_log_is_not_read_again(joinery: Joinery, whole_reads: list[object]) -> None:
    """Nothing is read while the head stands, and a note moves the head but no time."""
    (tray,) = mill(joinery, [35])
    first = now_taught(joinery)
    whole_reads.clear()
    assert now_taught(joinery) is first
    joinery.tap("note", NOW, tray["milling"], text="knots")
    assert now_taught(joinery) is first
    assert whole_reads == []


def test_a_correction_of_an_old_time_is_seen(joinery: Joinery) -> None:
    trays = mill(joinery, [30 + n for n in range(30)])
    now_taught(joinery)
    with joinery.store.writing() as session:
        session.get_one(TallyRow, (trays[0]["milling"], 0)).attended_min = 61.0
    found = now_taught(joinery)
    assert found.of(joinery.kinds["milling"]).times[0].hands_min == 61
    assert found.kinds == as_read(joinery)


def test_a_start_and_a_finish_that_are_moved_alike_are_seen(joinery: Joinery) -> None:
    """The minutes stay, so it shows in the instants alone; of an old time and of a new one."""
    trays = mill(joinery, [30 + n for n in range(30)])
    now_taught(joinery)
    for tray in (trays[0], trays[-1]):
        with joinery.store.writing() as session:
            row = session.get_one(TallyRow, (tray["milling"], 0))
            assert row.started_at is not None
            assert row.finished_at is not None
            row.started_at -= timedelta(minutes=15)
            row.finished_at -= timedelta(minutes=15)
        assert now_taught(joinery).kinds == as_read(joinery)


def test_a_stage_that_is_called_otherwise_is_seen(joinery: Joinery) -> None:
    trays = mill(joinery, [30 + n for n in range(30)])
    now_taught(joinery)
    for tray in (trays[0], trays[-1]):
        with joinery.store.writing() as session:
            edit(session, session.get_one(StageRow, tray["milling"]), UNA, NOW, name="sawing")
        found = now_taught(joinery)
        assert "sawing" in {one.name for one in found.of(joinery.kinds["milling"]).times}
        assert found.kinds == as_read(joinery)


def test_a_word_on_an_old_time_is_seen_and_the_mark_moves(
    joinery: Joinery, whole_reads: list[object]
) -> None:
    """Nothing is read again for it."""
    mill(joinery, [30 + n for n in range(30)])
    before = now_taught(joinery)
    key = before.of(joinery.kinds["milling"]).times[0].key
    whole_reads.clear()
    with joinery.store.writing() as session:
        say_of_log(session, key, False, UNA, NOW)
    after = now_taught(joinery)
    assert after.of(joinery.kinds["milling"]).times[0].counts is False
    assert after.mark != before.mark
    assert EARLIEST not in whole_reads
    assert after.kinds == as_read(joinery)


def test_times_that_are_brought_in_are_seen(joinery: Joinery) -> None:
    """Of two years ago, and of yesterday, which lies among the new ones."""
    mill(joinery, [30 + n for n in range(30)])
    now_taught(joinery)
    for on in (date(2024, 5, 6), date(2026, 11, 24)):
        past = PastTime(on, "old", "", None, "milling", joinery.kinds["milling"], 4, 70, "", None, str(on))
        with joinery.store.writing() as session:
            add_past_times(session, [past], NOW)
        assert now_taught(joinery).kinds == as_read(joinery)


def test_what_became_old_is_taken_as_read(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    """With two new times at most, the line between old and new moves on as weeks go by."""
    monkeypatch.setattr(book, "MOST_NEW", 2)
    mill(joinery, [35, 40, 45])
    now_taught(joinery)
    mill(joinery, [36, 41, 46], first=-10)
    assert now_taught(joinery).kinds == as_read(joinery)
    assert len(book._LAST[joinery.store].old[joinery.kinds["milling"]].times) == 2, "parted at the third"


def made(order: str, pattern: int | None, days: int = 0) -> Logged:
    at = NOW + timedelta(days=days)
    return Logged(f"s{days}", 1, pattern, order, 1, days, None, "milling", at, at, 2.0, 30.0, 0.0)


def test_repeats_count_the_orders_of_a_pattern_before() -> None:
    """The second stage of one order repeats nothing; an order of another pattern, or of none, is another."""
    times = [made("a", 7), made("b", 7), made("a", 7), made("x", 8), made("y", None), made("c", 7)]
    whole = KindTimes().with_more(times)
    assert whole.repeats == (0, 1, 0, 0, 0, 2)
    assert KindTimes().with_more(times[:3]).with_more(times[3:]) == whole
    assert whole.orders == {7: {"a": 0, "b": 1, "c": 2}, 8: {"x": 0}}


def test_only_minutes_above_nought_teach() -> None:
    whole = KindTimes().with_more([made("a", 7), made("b", 7, 1)])
    assert [log.repeats for log in whole.logs("hands_min")] == [0, 1]
    assert [log.key for log in whole.logs("hands_min", 1)] == ["s1"]
    assert whole.logs("machine_min") == []
