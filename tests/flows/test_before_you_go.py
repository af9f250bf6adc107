"""The last ninety minutes: what to see to before the last one goes."""

from datetime import date

from shoptrack.flows.before_you_go import Evening, closing_of, evening
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.worthwhile import keep_hints, try_all
from shoptrack.flows.shopfloor import gather
from tests.joinery import PIET, Joinery, at


def shown(joinery: Joinery, clock: str, days: int = 0) -> Evening | None:
    sight = gather(joinery.store, at(clock, days))
    planned = plan_now(joinery.store, sight)
    keep_hints(joinery.store, try_all(sight, planned))
    return evening(joinery.store, sight, planned.number)


def test_it_is_there_for_the_last_ninety_minutes_alone(joinery: Joinery) -> None:
    """The shop closes at five; on Saturday it is shut."""
    assert shown(joinery, "15:29") is None
    assert shown(joinery, "15:30") is not None
    assert shown(joinery, "16:59") is not None
    assert shown(joinery, "17:00") is None
    assert shown(joinery, "16:00", 3) is None
    assert closing_of(gather(joinery.store, at("9:00"))) == at("17:00")
    assert closing_of(gather(joinery.store, at("9:00", 3))) is None


def test_an_empty_shop_has_nothing_to_see_to(joinery: Joinery) -> None:
    found = shown(joinery, "16:00")
    assert found is not None
    assert (found.still, found.running, found.wet, found.cautions) == ((), (), (), ())


def test_who_is_still_at_it_and_what_is_wet(joinery: Joinery) -> None:
    """Piet is milling, Una sweeps; a coat of oil was closed at four."""
    tray = joinery.add("tray", "tray", date(2026, 12, 20))
    door = joinery.add("door", "door", date(2026, 12, 20))
    joinery.tap("start", at("15:40"), tray["oiling"], insisted=True)
    joinery.tap("closed", at("15:50"), tray["oiling"], count=1)
    joinery.tap("start", at("15:55"), door["frame"], person=PIET)
    found = shown(joinery, "16:00")
    assert found is not None
    names = {one.name: ([place.name for place in one.places], one.shop) for one in found.still}
    assert names["Piet"] == (["frame"], "")
    assert [wet.place.name for wet in found.wet] == ["oiling"]
    assert found.wet[0].until_at is not None
    assert found.wet[0].until_at > at("17:00")
