"""Boards of two jobs through the planer with one set-up, and a glue-up before going home."""

from datetime import date, time, timedelta

from shoptrack.engine.shapes import RoomProfile
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.worthwhile import Hints, hints_shown, keep_hints, try_all
from shoptrack.flows.shopfloor import gather
from shoptrack.store.shop import set_warmth
from tests.joinery import LONG_AGO, Joinery, at


def hints(joinery: Joinery, clock: str) -> Hints:
    sight = gather(joinery.store, at(clock))
    return try_all(sight, plan_now(joinery.store, sight))


def test_two_trays_are_milled_together(joinery: Joinery) -> None:
    first, second = (joinery.add("tray", f"tray {n}", date(2026, 12, 20)) for n in (1, 2))
    found = hints(joinery, "9:00")
    milled = next(one for one in found.together if one.kind == "milling")
    assert {place.stage for place in milled.places} == {first["milling"], second["milling"]}
    assert milled.saved_min >= 5
    assert len({place.tag for place in milled.places}) == 2


def test_one_tray_alone_is_not_milled_with_itself(joinery: Joinery) -> None:
    joinery.add("tray", "tray", date(2026, 12, 20))
    assert hints(joinery, "9:00").together == ()


def heat(joinery: Joinery) -> None:
    """The bench room is kept at twenty degrees, day and night."""
    with joinery.store.writing() as session:
        usual = RoomProfile((20.0,) * 12, (20.0,) * 12, time(7), time(17))
        set_warmth(session, 1, from_at=LONG_AGO + timedelta(days=1), usual=usual)


def milled_door(joinery: Joinery) -> None:
    """Everything of a door is milled by three, in a heated room."""
    heat(joinery)
    stages = joinery.add("door", "door", date(2026, 12, 20))
    joinery.tap("start", at("14:00"), stages["frame"], stages["panel stock"])
    joinery.tap("finish", at("15:00"), stages["frame"], stages["panel stock"])


def test_before_going_the_glue_up_that_gains_the_night(joinery: Joinery) -> None:
    """The panel glued at half past three goes into its frame tomorrow; glued in the morning, a day later."""
    milled_door(joinery)
    found = hints(joinery, "15:30")
    (night,) = found.tonight
    assert night.place.name == "panel glue-up"
    assert night.gains_min > 0
    assert not night.date
    assert night.end_at <= at("17:00")
    assert found.too_cold == ()


def test_a_coming_cold_night_is_said(joinery: Joinery) -> None:
    """Five degrees in the bench room: the glue would be in doubt, so it is not proposed."""
    milled_door(joinery)
    joinery.tap("temperature", at("15:10"), room=1, value_c=5.0)
    found = hints(joinery, "15:30")
    assert [one.place.name for one in found.too_cold] == ["panel glue-up"]
    assert found.tonight == ()


def test_nobody_here_has_no_night_before_them_and_an_empty_shop_nothing(joinery: Joinery) -> None:
    assert hints(joinery, "22:00") == Hints(hints(joinery, "22:00").number)


def test_hints_are_for_their_very_plan(joinery: Joinery) -> None:
    joinery.add("tray", "one", date(2026, 12, 20))
    joinery.add("tray", "two", date(2026, 12, 20))
    sight = gather(joinery.store, at("9:00"))
    planned = plan_now(joinery.store, sight)
    assert hints_shown(joinery.store, planned.number) == Hints(planned.number)
    keep_hints(joinery.store, try_all(sight, planned))
    assert hints_shown(joinery.store, planned.number).together
    joinery.add("tray", "three", None)
    after = plan_now(joinery.store, gather(joinery.store, at("9:01")))
    assert hints_shown(joinery.store, after.number) == Hints(after.number)
