"""What was done to edges as a tool's own book, and the last tap in words."""

from datetime import date

from shoptrack.engine.shapes.edges import DEEDS
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.tooling.said import WORDS, book_of, last_tap
from tests.flows.tooling.sharp import planer
from tests.joinery import NOW, PIET, Joinery, at


def sight(joinery: Joinery) -> Sight:
    return gather(joinery.store, NOW)


def test_every_deed_has_its_words() -> None:
    assert tuple(WORDS) == DEEDS
    assert len(set(WORDS.values())) == len(DEEDS)


def test_the_book_has_the_newest_first_and_all_that_was_said(joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    knives.deed("found dull", at("9:00"), edge=knives.first, person=PIET, text="tore the maple")
    said = {"look_again_on": "2026-12-02", "cents": 3600, "edge": knives.first}
    knives.deed("sent", at("9:30"), person=PIET, **said)
    knives.deed("meter", at("10:00"), minutes=750, person=None)
    meter, sent, dull, *_ = book_of(sight(joinery), knives.tool, {})
    assert (meter.meter_h, meter.who, meter.words) == (12.5, "", "hour meter read")
    assert (sent.edge, sent.did, sent.cents, sent.back_on) == ("set A", "sent", 3600, date(2026, 12, 2))
    assert (dull.edge, dull.who, dull.text, dull.at) == ("set A", "Piet", "tore the maple", at("9:00"))
    assert book_of(sight(joinery), knives.tool + 1, {}) == ()


def test_a_remark_stands_at_its_line(joinery: Joinery) -> None:
    knives = planer(joinery)
    entry = knives.deed("back", at("9:00"), edge=knives.first)
    assert book_of(sight(joinery), knives.tool, {entry: "It was never sent."})[0].odd == "It was never sent."


def test_the_last_tap_in_words_until_it_is_struck(joinery: Joinery) -> None:
    knives = planer(joinery)
    entry = knives.deed("found dull", at("9:00"), edge=knives.first)
    found = last_tap(sight(joinery), entry)
    assert found is not None
    assert (found.tool, found.words) == (knives.tool, "planer knives, set A: found dull")
    joinery.tap("strike", at("9:01"), of=entry)
    assert last_tap(sight(joinery), entry) is None
    assert last_tap(sight(joinery), "no-such-entry") is None
