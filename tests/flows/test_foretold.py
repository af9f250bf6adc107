"""What was foretold is kept once, as of then, whenever it is settled, and held against what it took."""

import sqlite3
from datetime import date, timedelta

import pytest

from shoptrack.engine.durations import quantile_min
from shoptrack.flows import foretold
from shoptrack.flows.foretold import Foretold, settle, surprises_by_job, track
from shoptrack.store.db import head
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.past_times import PastTime, add_past_times
from shoptrack.store.predictions import Kept, kept_since
from tests.flows.worked import mill, stage_at
from tests.joinery import NOW, UNA, Joinery, at

HOUR = timedelta(hours=1)
MINUTES = [36, 41, 38, 44, 40, 39, 37, 42]


def kept(shop: Joinery) -> dict[str, Kept]:
    with shop.store.reading() as session:
        rows, _ = kept_since(session, "1")
    return {row.key: row for row in rows}


def record(shop: Joinery) -> tuple[Foretold, ...]:
    with shop.store.reading() as session:
        return track(session)


def test_settled_at_once_or_all_in_the_end_it_is_the_same(joinery: Joinery) -> None:
    """Of eight trays each is foretold from those before it; the numbers don't depend on when they are
    reckoned, only "later" does."""
    mill(joinery, MINUTES[:4])
    first = settle(joinery.store, at("12:00", -56))
    early = kept(joinery)
    mill(joinery, MINUTES[4:], first=-50)
    assert (first, settle(joinery.store, NOW), settle(joinery.store, NOW)) == (4, 4, 0)
    every = list(kept(joinery).values())
    assert [row.logs for row in every] == list(range(8))
    with joinery.store.alone() as raw:
        raw.execute("DELETE FROM predictions")
    foretold._SETTLED.clear()
    assert settle(joinery.store, NOW) == 8
    again = kept(joinery)
    for row in again.values():
        assert row.later
        assert (row.df, row.loc, row.scale) == pytest.approx(
            (every[row.logs].df, every[row.logs].loc, every[row.logs].scale)
        )
    assert list(early) == list(again)[:4]


def test_the_first_is_the_rule_of_thumb_and_the_next_know_more(joinery: Joinery) -> None:
    """Milling two boards is 35 minutes by rule of thumb; it takes about 40."""
    mill(joinery, MINUTES)
    settle(joinery.store, NOW)
    told = [one.prediction for one in record(joinery)]
    assert quantile_min(told[0], 0.5) == pytest.approx(35)
    assert 37 < quantile_min(told[-1], 0.5) < 41
    assert told[-1].scale < told[0].scale
    assert [one.of_pattern for one in told] == list(range(8))


def test_the_newest_are_settled_first_and_the_rest_later(joinery: Joinery) -> None:
    trays = mill(joinery, MINUTES)
    assert settle(joinery.store, NOW, most=3) == 3
    assert set(kept(joinery)) == {f"s{tray['milling']}" for tray in trays[-3:]}
    assert [settle(joinery.store, NOW, most=3) for _ in range(3)] == [3, 2, 0]


def test_nothing_is_looked_for_while_nothing_was_written(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    mill(joinery, MINUTES[:2])
    settle(joinery.store, NOW)
    monkeypatch.setattr(foretold.predictions, "unsettled", None)  # asking would fail
    assert settle(joinery.store, NOW) == 0


def test_the_head_does_not_move(joinery: Joinery) -> None:
    mill(joinery, MINUTES[:2])
    with joinery.store.reading() as session:
        before = head(session)
    settle(joinery.store, NOW)
    with joinery.store.reading() as session:
        assert head(session) == before


def test_a_pass_in_hand_is_foretold_when_it_begins(joinery: Joinery) -> None:
    """Within the day it is no reckoning afterwards; finished, it is held against that."""
    mill(joinery, MINUTES)
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    settle(joinery.store, at("9:05"))
    row = kept(joinery)[f"s{tray['milling']}"]
    assert (row.later, row.made_at, row.logs) == (False, at("9:05"), 8)
    joinery.tap("finish", at("9:40"), tray["milling"])
    last = record(joinery)[-1]
    assert (last.key, last.counted, last.later, last.minutes) == (row.key, True, False, pytest.approx(40))
    assert 0.3 < last.share < 0.7
    assert last.surprise == pytest.approx(0, abs=0.6)


def test_a_moved_start_is_not_counted(joinery: Joinery) -> None:
    """It began an hour earlier, as was said afterwards: what was foretold stays, and counts no more."""
    tray = joinery.add("tray", "tray", None)
    start = joinery.tap("start", at("9:00"), tray["milling"])
    settle(joinery.store, at("9:05"))
    joinery.tap("finish", at("9:20"), tray["milling"])
    assert [one.counted for one in record(joinery)] == [True]
    joinery.tap("retime", at("9:21"), of=start, to_at=at("8:50").isoformat())
    assert [one.counted for one in record(joinery)] == [False]
    assert settle(joinery.store, at("9:30")) == 0
    assert surprises_by_job(record(joinery)) == {}


def test_a_struck_start_leaves_its_prediction_uncounted(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    start = joinery.tap("start", at("9:00"), tray["milling"])
    settle(joinery.store, at("9:05"))
    joinery.tap("strike", at("9:06"), of=start)
    assert (record(joinery), len(kept(joinery))) == ((), 1)
    stage_at(joinery, tray["milling"], at("10:00"), 35)
    assert [one.counted for one in record(joinery)] == [False]


def test_what_was_done_together_is_foretold_as_one(joinery: Joinery) -> None:
    """The boards of two trays: four of them, one set-up; the second tray's own row is not in the record."""
    mill(joinery, MINUTES)
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None)
    joinery.tap("start", at("9:00"), one["milling"], two["milling"])
    settle(joinery.store, at("9:05"))
    joinery.tap("finish", at("10:00"), one["milling"], two["milling"])
    row = kept(joinery)[f"s{one['milling']}"]
    *_, last = record(joinery)
    assert (row.quantity, kept(joinery)[f"s{two['milling']}"].quantity) == (4, 2)
    assert (last.key, last.quantity, last.minutes, last.counted) == (row.key, 4, pytest.approx(60), True)
    assert len(record(joinery)) == 9


def test_another_measure_moves_what_was_foretold_and_quite_another_is_not_counted(joinery: Joinery) -> None:
    """Ten inlays were foretold by 20 + 60 minutes; eight were done, by which it is 20 + 48. Of two it would
    be another thing."""
    for hour, count in ((9, 8), (10, 2)):
        tray = joinery.add("tray", f"of {count}", None)
        joinery.tap("start", at(f"{hour}:00"), tray["inlay"], insisted=True)
        settle(joinery.store, at(f"{hour}:01"))
        joinery.tap("finish", at(f"{hour}:30"), tray["inlay"], count=count)
    eight, two = record(joinery)
    assert quantile_min(eight.prediction, 0.5) == pytest.approx(68)
    assert (eight.quantity, two.quantity) == (8, 2)
    assert (eight.counted, two.counted) == (True, False)


def test_times_from_before_the_log_are_foretold_from_those_before_them(joinery: Joinery) -> None:
    """They are said to be reckoned later, and count."""
    kind, days = joinery.kinds["milling"], (date(2024, 5, 6), date(2024, 5, 7), date(2024, 5, 7))
    past = [
        PastTime(on, "old", "", None, "milling", kind, 4, 70, "", None, str(n)) for n, on in enumerate(days)
    ]
    with joinery.store.writing() as session:
        add_past_times(session, past, NOW)
    assert settle(joinery.store, NOW) == 3
    found = record(joinery)
    assert [one.prediction.logs for one in found] == [0, 1, 1], "of one day none is before the other"
    assert all(one.imported and one.later and one.counted and one.job is None for one in found)


def test_left_out_by_somebody_it_is_not_counted(joinery: Joinery) -> None:
    mill(joinery, [36, 69])
    settle(joinery.store, NOW)
    with joinery.store.writing() as session:
        say_of_log(session, record(joinery)[1].key, False, UNA, NOW)
    assert [one.counted for one in record(joinery)] == [True, False]


def test_the_surprises_of_a_job_are_together(joinery: Joinery) -> None:
    """A tray of which both stages took much longer than foretold."""
    mill(joinery, MINUTES)
    tray = joinery.add("tray", "tray", None)
    stage_at(joinery, tray["milling"], at("9:00"), 60)
    stage_at(joinery, tray["glue-up"], at("10:10"), 50)
    settle(joinery.store, NOW)
    (surprises,) = [own for job, own in surprises_by_job(record(joinery)).items() if job == tray["job"]]
    assert len(surprises) == 2
    assert all(z > 0.5 for z in surprises)


def test_a_file_that_may_only_be_read_breaks_nothing(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The write fails as on a full disk; the next call does it."""
    mill(joinery, MINUTES[:3])
    noting = joinery.store.noting

    def full(*_: object) -> None:
        raise foretold.SQLAlchemyError from sqlite3.OperationalError("disk full")

    with monkeypatch.context() as broken:
        broken.setattr(foretold.predictions, "add_predictions", full)
        assert settle(joinery.store, NOW) == 0
    assert "could not be kept" in caplog.text
    assert joinery.store.noting == noting
    assert settle(joinery.store, NOW) == 3


def test_two_at_once_keep_it_once(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another thread was faster: its rows stay, and nothing breaks."""
    mill(joinery, MINUTES[:3])
    add, did = foretold.predictions.add_predictions, list[bool]()

    def after_another(session: object, rows: object) -> None:
        if not did:
            did.append(True)
            add(session, rows)  # type: ignore[arg-type]
        add(session, rows)  # type: ignore[arg-type]

    monkeypatch.setattr(foretold.predictions, "add_predictions", after_another)
    assert settle(joinery.store, NOW) == 0
    assert settle(joinery.store, NOW) == 3
    assert len(kept(joinery)) == 3
