"""Clamps that are on, and marks that need hands, as the Bench lists them on the busy Wednesday, 13:24."""

from datetime import timedelta

from shoptrack.flows.shopfloor import gather
from shoptrack.flows.still_on import held, tends
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def test_clamps_that_may_come_off_first_lead(joinery: Joinery, day: BusyDay) -> None:
    """The inlays of 10:40 and 11:20, the panel of yesterday and the elm trays, which are off from 13:48."""
    found = list(held(gather(joinery.store, NOW), NOW))
    assert [h.clamps for h in found if h.stage.id == day.elm["glue-up"]] == [4]
    (trays,) = [h for h in found if h.stage.id == day.elm["glue-up"]]
    assert (trays.off_at, trays.early) == (at("13:48"), True)
    later = NOW + timedelta(minutes=30)
    (trays,) = [h for h in held(gather(joinery.store, later), later) if h.stage.id == trays.stage.id]
    assert not trays.early


def test_what_was_tended_is_tended_no_more(joinery: Joinery, day: BusyDay) -> None:
    """The oil of 13:19 is to be wiped off by 13:39, the elm trays scraped by 13:48."""
    found = {(t.mark.role, t.until_at) for t in tends(gather(joinery.store, NOW)) if not t.missed}
    assert {("wipe", at("13:39")), ("scrape", at("13:48"))} <= found
    joinery.tap("tended", at("13:24"), day.letter["oiling"], person=PIET, choice="wipe")
    assert "wipe" not in {t.mark.role for t in tends(gather(joinery.store, NOW)) if not t.missed}
