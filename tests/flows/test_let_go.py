"""Closing a job takes everybody off it: their minutes end there, in the log and in the tally."""

from collections.abc import Callable
from datetime import datetime

import pytest

from shoptrack.engine.replay import replay
from shoptrack.flows.job_change import call_off, close
from shoptrack.flows.job_money import reckon
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.let_go import let_go
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store import log, snapshot, tally
from shoptrack.store.tables import TallyRow
from tests.joinery import NOW, PIET, UNA, Joinery, at

CLOSED_AT = at("9:00", -1)

Over = Callable[[Joinery, int], None]


def row_of(shop: Joinery, stage: int) -> TallyRow:
    with shop.store.reading() as session:
        row = session.get_one(TallyRow, (stage, 0))
        session.expunge(row)
        return row


def hands_min(shop: Joinery, job: int, now: datetime) -> float:
    sight = gather_job(shop.store, job, now)
    with shop.store.reading() as session:
        return reckon(session, sight, job).hands_min


def faults(shop: Joinery) -> list[str]:
    """Where the tally is not what the whole log says."""
    with shop.store.reading() as session:
        state = replay(log.whole_log(session), snapshot.whole_world(session), NOW)
        return tally.differences(session, [work for passes in state.passes.values() for work in passes])


@pytest.mark.parametrize(
    "over",
    [
        lambda shop, job: set_closed(shop.store, job, True, None, CLOSED_AT),
        lambda shop, job: close(shop.store, job, None, UNA, CLOSED_AT),
        lambda shop, job: call_off(shop.store, job, "gone bankrupt", UNA, CLOSED_AT),
    ],
    ids=["closed", "closed at its end page", "called off"],
)
def test_minutes_end_where_the_job_does(joinery: Joinery, over: Over) -> None:
    """Una has the boards in hand since eight; the office closes the tray at nine. An hour, days later too."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00", -1), tray["milling"])
    for _ in range(2):
        over(joinery, tray["job"])
    milling = row_of(joinery, tray["milling"])
    assert milling.standing == "set down"
    assert milling.attended_min == pytest.approx(60)
    assert [hands_min(joinery, tray["job"], at("13:00", days)) for days in (0, 3)] == [pytest.approx(60)] * 2
    assert faults(joinery) == []


def test_only_what_is_of_that_job_is_set_down(joinery: Joinery) -> None:
    """Two trays' boards are milled together, and Piet is at another job: of the three one is over."""
    trays = [joinery.add("tray", f"tray {n}", None) for n in range(3)]
    joinery.tap("start", at("8:00", -1), trays[0]["milling"], trays[1]["milling"])
    joinery.tap("start", at("8:00", -1), trays[2]["milling"], person=PIET)
    let_go(joinery.store, trays[0]["job"], CLOSED_AT)
    assert [row_of(joinery, tray["milling"]).standing for tray in trays] == ["set down", "in hand", "in hand"]
    assert faults(joinery) == []


def test_a_machine_stops_with_its_job(joinery: Joinery) -> None:
    """The router went on after Una went to something else; it doesn't cost anything after the job's end."""
    tray, other = joinery.add("tray", "tray", None), joinery.add("tray", "other", None)
    joinery.tap("start", at("8:00", -1), tray["carving the well"], insisted=True)
    joinery.tap("start", at("8:20", -1), other["milling"])
    set_closed(joinery.store, tray["job"], True, None, CLOSED_AT)
    carving = row_of(joinery, tray["carving the well"])
    assert (carving.standing, carving.attended_min, carving.machine_min) == ("set down", 20, 60)
    assert row_of(joinery, other["milling"]).standing == "in hand"
    assert faults(joinery) == []


def test_what_nobody_has_in_hand_is_closed_without_a_word_in_the_log(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00", -1), tray["milling"])
    joinery.tap("finish", at("8:30", -1), tray["milling"])
    for job in (tray["job"], 99):
        let_go(joinery.store, job, CLOSED_AT)
    with joinery.store.reading() as session:
        assert [e.kind for e in log.whole_log(session)] == ["start", "finish"]


def test_a_job_begun_after_it_was_closed_is_tallied_when_its_maker_goes_on(joinery: Joinery) -> None:
    """A tablet out of reach starts on a closed tray, then on another: the first got its half hour."""
    tray, other = joinery.add("tray", "tray", None), joinery.add("tray", "other", None)
    set_closed(joinery.store, tray["job"], True, None, at("7:00", -1))
    joinery.tap("start", at("8:00", -1), tray["milling"])
    joinery.tap("start", at("8:30", -1), other["milling"])
    milling = row_of(joinery, tray["milling"])
    assert milling.standing == "set down"
    assert milling.attended_min == pytest.approx(30)
    assert faults(joinery) == []
