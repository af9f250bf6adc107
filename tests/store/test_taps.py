"""Stretches of the log: one person's taps, and everybody's with what led up to them."""

from datetime import timedelta

from shoptrack.store.taps import entries_between, taps_of
from tests.joinery import NOW, PIET, UNA, Joinery, at


def test_a_persons_taps_with_whatever_strikes_or_moves_them(joinery: Joinery) -> None:
    """Una's morning; Piet strikes one of her taps, and she moves one of last week into today."""
    old = joinery.tap("note", at("9:00", -7), text="old", job=joinery.add("tray", "t", None)["job"])
    sweep = joinery.tap("start", at("9:00"), text="sweeping")
    joinery.tap("start", at("9:05"), text="phone", person=PIET)
    strike = joinery.tap("strike", at("9:30"), of=sweep, person=PIET)
    move = joinery.tap("retime", at("9:40"), of=old, to_at=at("8:30").isoformat())
    with joinery.store.reading() as session:
        found = {e.id for e in taps_of(session, UNA, at("0:00"), NOW)}
        yesterday = taps_of(session, UNA, at("0:00", -1), at("0:00"))
    assert found == {old, sweep, strike, move}
    assert yesterday == []


def test_a_week_has_two_weeks_before_it(joinery: Joinery) -> None:
    begun = joinery.tap("start", at("9:00", -13), text="jigs")
    far = joinery.tap("start", at("9:00", -3), text="ordering")
    with joinery.store.reading() as session:
        found = {e.id for e in entries_between(session, at("0:00"), NOW)}
        later = entries_between(session, NOW + timedelta(days=30), NOW + timedelta(days=37))
    assert found == {begun, far}
    assert later == []
