"""Names of stages, which round one is, and what to mind at them."""

from shoptrack.flows.places import cautions_of, place_of
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def test_a_round_says_how_much_of_the_stage_it_is(joinery: Joinery, day: BusyDay) -> None:
    sight = gather(joinery.store, NOW)
    first = sight.replayed.current(day.letter["inlay"]).rounds[0]
    place = place_of(sight, day.letter["inlay"], first)
    assert (place.name, place.count, place.quantity, place.unit) == ("inlay", 4, 10, "inlays")
    glued = sight.replayed.current(day.elm["glue-up"]).rounds[0]
    assert place_of(sight, day.elm["glue-up"], glued).count is None
    assert place_of(sight, day.elm["glue-up"]).title == "six trays, elm"


def test_cautions_come_from_the_stage_or_its_kind(joinery: Joinery, day: BusyDay) -> None:
    stages = gather(joinery.store, NOW).world.stages
    assert len(cautions_of(stages[day.elm["oiling"]], NOW)) == 1
    assert cautions_of(stages[day.elm["milling"]], NOW) == ()


def test_the_second_coat_is_the_second_and_a_round_of_inlays_is_a_number(
    joinery: Joinery, day: BusyDay
) -> None:
    """Coats go on over each other: the one of 13:30 is 2 of 3. Of ten inlays the second round was three of
    them."""
    joinery.tap("closed", at("13:30"), day.letter["oiling"], person=PIET, count=1)
    sight = gather(joinery.store, at("13:31"))
    coats = sight.replayed.current(day.letter["oiling"]).rounds
    inlays = sight.replayed.current(day.letter["inlay"]).rounds
    assert [place_of(sight, r.stage, r).count for r in coats] == [1, 2]
    assert [place_of(sight, r.stage, r).count for r in inlays] == [4, 3]
