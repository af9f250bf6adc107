"""The times that teach: from the tally, done together as one, from before the log, and what people said."""

from datetime import date, timedelta

import pytest

from shoptrack.store import logs
from shoptrack.store.edits import edit
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.logs import Logged
from shoptrack.store.past_times import PastTime, add_past_times
from shoptrack.store.tables import StageRow, TallyRow
from tests.flows.worked import mill, stage_at
from tests.joinery import NOW, PIET, UNA, Joinery, at


def read(shop: Joinery) -> list[Logged]:
    with shop.store.reading() as session:
        return logs.logged(session)


def past(shop: Joinery, on: date, minutes: float, row_key: str) -> None:
    """Four boards were milled on a day before the log began."""
    time = PastTime(on, "old tray", "", None, "milling", shop.kinds["milling"], 4, minutes, "", None, row_key)
    with shop.store.writing() as session:
        add_past_times(session, [time], NOW)


def test_a_finished_stage_is_a_time_with_its_measure_and_order(joinery: Joinery) -> None:
    """A tray has two boards; it took 35 minutes. Its glue-up is only begun, so it is none."""
    (tray,) = mill(joinery, [35])
    joinery.tap("start", at("9:00", -1), tray["glue-up"])
    (one,) = read(joinery)
    assert (one.key, one.kind, one.quantity) == (f"s{tray['milling']}", joinery.kinds["milling"], 2)
    assert (one.order, one.name, one.imported) == (f"j{tray['job']}", "milling", False)
    assert one.hands_min == pytest.approx(35)
    assert one.finished_at - (one.started_at or NOW) == timedelta(minutes=35)


def test_what_was_done_together_teaches_as_one(joinery: Joinery) -> None:
    """The boards of two trays in one hour: one time of four boards. Of two kinds together each is its own."""
    trays = [joinery.add("tray", f"tray {n}", None) for n in (1, 2)]
    both = [tray["milling"] for tray in trays]
    joinery.tap("start", at("8:00", -2), *both)
    joinery.tap("finish", at("9:00", -2), *both)
    mixed = (trays[0]["glue-up"], joinery.add("tray", "tray 3", None)["milling"])
    joinery.tap("start", at("8:00", -1), *mixed, insisted=True)
    joinery.tap("finish", at("9:00", -1), *mixed)
    first, *others = read(joinery)
    assert (first.key, first.quantity, first.hands_min) == (f"s{both[0]}", 4, pytest.approx(60))
    assert len(others) == 2
    assert sum(one.hands_min for one in others) == pytest.approx(60)


def test_what_does_not_teach_is_no_time(joinery: Joinery) -> None:
    """Finished without a start it teaches nothing; nor does a pass that is struck."""
    (other,) = mill(joinery, [30])
    tray = joinery.add("tray", "tray", None)
    joinery.tap("finish", at("9:00", -2), tray["milling"])
    struck = joinery.add("tray", "tray", None)["milling"]
    joinery.tap("start", at("8:00", -1), struck)
    finish = joinery.tap("finish", at("8:30", -1), struck)
    joinery.tap("strike", at("8:31", -1), of=finish)
    assert [one.stage for one in read(joinery)] == [other["milling"]]


def test_a_time_from_before_the_log_is_one_too(joinery: Joinery) -> None:
    past(joinery, date(2024, 5, 6), 70, "a")
    mill(joinery, [35])
    old, new = read(joinery)
    assert (old.key[0], old.imported, old.job, old.hands_min, old.started_at) == ("p", True, None, 70, None)
    assert old.finished_at.isoformat() == "2024-05-06T16:00:00+00:00"  # noon in New York
    assert not new.imported


def test_since_an_instant_only_what_was_finished_from_then_on(joinery: Joinery) -> None:
    past(joinery, date(2024, 5, 6), 70, "a")
    mill(joinery, [35, 40, 45])
    every = read(joinery)
    with joinery.store.reading() as session:
        assert logs.read_times(session, every[2].finished_at) == every[2:]


def test_the_mark_changes_with_every_time_and_says_on_which_side_of_an_instant(joinery: Joinery) -> None:
    """A correction of an old time moves its side alone; a new one the other."""
    mill(joinery, [35, 40, 45])
    split_at = read(joinery)[1].finished_at

    def mark() -> logs.Mark:
        with joinery.store.reading() as session:
            return logs.mark(session, split_at)

    first = mark()
    assert mark() == first
    assert (first.before[0], first.since[0]) == (1, 2)
    mill(joinery, [50], first=-20)
    newer = mark()
    assert (newer.before, newer.since[0]) == (first.before, 3)
    with joinery.store.writing() as session:
        corrected = session.get_one(TallyRow, (read(joinery)[0].stage, 0))
        corrected.attended_min += 5
    assert mark().before != newer.before
    assert mark().since == newer.since
    moved = mark()
    with joinery.store.writing() as session:
        corrected = session.get_one(TallyRow, (read(joinery)[0].stage, 0))
        assert corrected.finished_at is not None
        corrected.finished_at -= timedelta(seconds=1)
    assert mark().before != moved.before
    with joinery.store.writing() as session:
        edit(session, session.get_one(StageRow, read(joinery)[0].stage), UNA, NOW, name="sawing")
    assert mark().renamed > moved.renamed


def test_a_word_on_a_time_goes_with_it(joinery: Joinery) -> None:
    """Left out, then it counts after all; what was said counts from when it was."""
    mill(joinery, [35, 69])
    key, later = read(joinery)[1].key, NOW + timedelta(hours=1)
    with joinery.store.writing() as session:
        say_of_log(session, key, False, UNA, NOW)
    one = read(joinery)[1]
    assert (one.counts, one.said_at, one.counts_at(NOW)) == (False, NOW, False)
    assert one.counts_at(NOW - timedelta(seconds=1)) is None
    with joinery.store.writing() as session:
        say_of_log(session, key, True, UNA, later)
    assert [each.counts for each in read(joinery)] == [None, True]


def test_a_stage_of_two_stints_is_one_time(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00", -2), tray["milling"])
    joinery.tap("pause", at("8:20", -2), tray["milling"])
    stage_at(joinery, tray["milling"], at("8:00", -1), 15)
    (one,) = read(joinery)
    assert one.hands_min == pytest.approx(35)


def test_what_two_people_did_at_one_stage_is_their_sum(joinery: Joinery) -> None:
    """Half an hour of Una's and, meanwhile, a quarter of Piet's are 45 minutes of hands, not 30."""
    milling = joinery.add("tray", "tray", None)["milling"]
    joinery.tap("start", at("8:00", -1), milling)
    joinery.tap("start", at("8:10", -1), milling, person=PIET)
    joinery.tap("pause", at("8:25", -1), milling, person=PIET)
    joinery.tap("finish", at("8:30", -1), milling)
    (one,) = read(joinery)
    assert one.hands_min == pytest.approx(45)


def test_a_stint_past_its_limit_is_no_time_until_somebody_answers(joinery: Joinery) -> None:
    """Ten hours at two boards: asked about, it teaches nothing; all of it, says Una, so it does."""
    milling = joinery.add("tray", "tray", None)["milling"]
    start = joinery.tap("start", at("8:00", -1), milling)
    joinery.tap("finish", at("16:00", -1), milling)
    assert read(joinery) == []
    joinery.tap("answer", at("16:05", -1), of=start, asks="still-on", choice="all")
    (one,) = read(joinery)
    assert one.hands_min > 240
