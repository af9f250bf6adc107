"""Stretches of the log: one person's taps, and everybody's with what led up to them."""

from datetime import timedelta

from shoptrack.store.edits import edit
from shoptrack.store.tables import PersonRow
from shoptrack.store.taps import at_the_log, before_newest, entries_between, taps_of
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


def test_who_is_at_the_log_since_when_and_until_when(joinery: Joinery) -> None:
    """Una taps twice, Piet once before he leaves; somebody unnamed is nobody."""
    with joinery.store.reading() as session:
        assert at_the_log(session) == {}
    job = joinery.add("tray", "t", None)["job"]
    joinery.tap("note", at("8:00", -9), text="nobody's", job=job, person=None)
    joinery.tap("start", at("9:00", -7), text="jigs")
    joinery.tap("start", at("9:00", -6), text="phone", person=PIET)
    joinery.tap("pause", at("10:00", -6))
    with joinery.store.writing() as session:
        edit(session, session.get_one(PersonRow, PIET), None, NOW, retired_at=NOW)
    with joinery.store.reading() as session:
        assert at_the_log(session) == {UNA: (at("9:00", -7), None), PIET: (at("9:00", -6), NOW)}


def test_how_far_back_the_newest_taps_reach(joinery: Joinery) -> None:
    """Three taps: before the newest two lies the first; before the newest three none."""
    tray = joinery.add("tray", "tray", None)
    for clock in ("8:00", "9:00", "10:00"):
        joinery.tap("start", at(clock), tray["milling"])
    with joinery.store.reading() as session:
        assert before_newest(session, 2) == at("8:00")
        assert before_newest(session, 3) is None
