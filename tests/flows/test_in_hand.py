"""What is in hand: the minutes that count, the count on the large button, the line for the tape."""

from datetime import datetime, timedelta

import pytest

from shoptrack.flows.bench import bench
from shoptrack.flows.in_hand import Hand, if_started, in_hand
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def hand_of(joinery: Joinery, person: int, now: datetime = NOW) -> Hand:
    hand = bench(gather(joinery.store, now), person, now).hand
    assert hand is not None
    return hand


def test_a_closed_night_and_lunch_do_not_count(joinery: Joinery, day: BusyDay) -> None:
    """Una's frame since 13:00 is still on the next day at 13:00: four hours, four, and half an hour."""
    hand = hand_of(joinery, UNA, at("13:00", 1))
    assert hand.since == at("13:00")
    assert hand.minutes == pytest.approx(4 * 60 + 4 * 60 + 30)


def test_nothing_in_hand(joinery: Joinery) -> None:
    assert in_hand(gather(joinery.store, NOW), [], UNA, NOW) is None


def test_one_coat_is_offered_at_a_time(joinery: Joinery, day: BusyDay) -> None:
    """Three coats of oil, one of them on: the button says one more, two are left."""
    hand = hand_of(joinery, PIET)
    assert (hand.main, hand.count, hand.left) == ("closed", 1, 2)


def test_the_tape_is_rounded_up_and_work_waits_for_the_opening(joinery: Joinery, day: BusyDay) -> None:
    """Glue closed at 16:33: nobody flattens at night, so the tape says tomorrow when the shop opens."""
    now = at("16:33")
    hand = if_started(gather(joinery.store, now), day.game["glue-up"], UNA, now)
    assert hand.tape[0].word == "off"
    assert all(t.at.minute % 5 == 0 for t in hand.tape)
    work = next(t for t in hand.tape if t.word == "carving")
    assert work.at >= at("8:00", 1)
    assert hand.tape[0].at > now


def test_the_open_time_runs_from_the_spread(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("start", at("13:26"), day.game["glue-up"], insisted=True)
    joinery.tap("spread", at("13:27"), day.game["glue-up"])
    hand = hand_of(joinery, UNA, at("13:28"))
    assert hand.spread_at == at("13:27")
    assert hand.glue is not None
    assert hand.glue.open_min is not None
    assert hand.open_until == at("13:27") + timedelta(minutes=hand.glue.open_min)
    joinery.tap("closed", at("13:30"), day.game["glue-up"])
    assert hand_of(joinery, UNA, at("13:31")).spread_at is None
