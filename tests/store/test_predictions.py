"""What is begun without a prediction, and predictions kept: one for each pass and method, never a second."""

from datetime import date, timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from shoptrack.store.db import head
from shoptrack.store.past_times import PastTime, add_past_times
from shoptrack.store.predictions import (
    EARLIEST,
    Begun,
    Kept,
    add_predictions,
    kept_of,
    kept_since,
    measures,
    unsettled,
)
from shoptrack.store.tables import StageKindRow, StageRow
from tests.flows.worked import mill
from tests.joinery import NOW, Joinery, at

DAY = timedelta(days=1)


def begun(shop: Joinery, most: int = 100, method: str = "1") -> list[Begun]:
    with shop.store.reading() as session:
        return unsettled(session, method, most)


def kept(one: Begun, method: str = "1") -> Kept:
    return Kept(
        one.stage, one.redo, one.past_time, method, one.started_at, one.quantity,
        6.0, 3.5, 0.4, 0, 0, False, NOW,
    )  # fmt: skip


def test_every_pass_begun_is_there_newest_first_until_something_is_kept_of_it(joinery: Joinery) -> None:
    """Three trays milled, the glue-up of the last in hand; what nobody began is not there."""
    trays = mill(joinery, [35, 40, 45])
    joinery.tap("start", at("9:00", -1), trays[2]["glue-up"], insisted=True)
    found = begun(joinery)
    assert [one.stage for one in found] == [
        trays[2]["glue-up"],
        *(tray["milling"] for tray in reversed(trays)),
    ]
    assert (found[1].order, found[1].quantity, found[1].redo) == (f"j{trays[2]['job']}", 2, 0)
    assert begun(joinery, most=2) == found[:2]
    with joinery.store.noting() as session:
        add_predictions(session, [kept(one) for one in found[:2]])
    assert begun(joinery) == found[2:]
    assert begun(joinery, method="2") == found, "another method has none yet"
    with joinery.store.reading() as session:
        assert unsettled(session, "1", 9, since=found[2].started_at + DAY / 24) == []


def test_rests_are_not_foretold(joinery: Joinery) -> None:
    first, second = mill(joinery, [35, 40])
    with joinery.store.writing() as session:
        session.get_one(StageRow, first["milling"]).attendance = "none"
    assert [one.stage for one in begun(joinery)] == [second["milling"]]
    with joinery.store.writing() as session:
        session.get_one(StageKindRow, joinery.kinds["milling"]).attendance = "none"
    assert begun(joinery) == []


def test_times_from_before_the_log_come_last(joinery: Joinery) -> None:
    kind = joinery.kinds["milling"]
    days = (date(2024, 5, 6), date(2024, 5, 7))
    past = [PastTime(on, "old", "", None, "milling", kind, 4, 70, "", None, str(on)) for on in days]
    with joinery.store.writing() as session:
        add_past_times(session, past, NOW)
    mill(joinery, [35])
    log, newer, older = begun(joinery)
    assert log.past_time is None
    assert (newer.started_at.date(), older.started_at.date()) == (days[1], days[0])
    assert (newer.stage, newer.order, newer.quantity) == (None, "pold", 4)
    assert begun(joinery, most=2) == [log, newer]
    with joinery.store.noting() as session:
        add_predictions(session, [kept(newer)])
    assert begun(joinery) == [log, older]


def test_of_one_pass_there_is_one_prediction_of_a_method(joinery: Joinery) -> None:
    mill(joinery, [35])
    (one,) = begun(joinery)
    with joinery.store.noting() as session:
        add_predictions(session, [kept(one), kept(one, "2")])
    with pytest.raises(IntegrityError), joinery.store.noting() as session:
        add_predictions(session, [kept(one)])
    with joinery.store.reading() as session:
        rows, last = kept_since(session, "1")
        assert rows == [kept(one)]
        assert kept_since(session, "1", last) == ([], last)
        assert kept_of(session, "1", [one.stage or 0]) == {one.stage: kept(one)}
        assert kept_of(session, "1", []) == {}


def test_the_head_stays_where_it_is(joinery: Joinery) -> None:
    """No tablet is sent everything again because something was foretold."""
    mill(joinery, [35])
    store = joinery.store
    with store.reading() as session:
        revision = head(session).revision
    with store.noting() as session:
        add_predictions(session, [kept(one) for one in unsettled(session, "1", 5, EARLIEST)])
    with store.reading() as session:
        assert head(session).revision == revision


def test_a_key_names_what_a_log_is_named(joinery: Joinery) -> None:
    one = Begun(7, 0, None, 1, None, "j1", NOW, 2.0)
    assert kept(one).key == "s7"
    assert kept(Begun(7, 1, None, 1, None, "j1", NOW, 2.0)).key == "s7 again 1"
    assert kept(Begun(None, 0, 9, 1, None, "pold", NOW, 2.0)).key == "p9"


def test_the_measures_of_stages_done_together(joinery: Joinery) -> None:
    """A tray of one piece has two boards, of two pieces four; both are of the pattern. What nobody began
    has no measure yet."""
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None, pieces=2)
    joinery.tap("start", at("8:00", -1), one["milling"], two["milling"])
    with joinery.store.reading() as session:
        found = measures(session, [one["milling"], two["milling"], one["inlay"]])
        assert measures(session, []) == {}
    assert {stage: quantity for stage, (_, _, quantity) in found.items()} == {
        one["milling"]: 2,
        two["milling"]: 4,
    }
    assert {pattern for _, pattern, _ in found.values()} == {1}
    assert [b.together for b in begun(joinery)] == [(one["milling"], two["milling"])] * 2
