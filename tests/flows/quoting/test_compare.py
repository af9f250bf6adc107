"""Two revisions beside each other: what differs, and nothing that does not."""

from dataclasses import replace

from shoptrack.flows.quoting.compare import Difference, compare
from shoptrack.flows.quoting.wanted import TermsSaid, WantedLine, WantedOption
from tests.flows.quoting.shop import ad_hoc, tray, worked_out
from tests.joinery import Joinery


def test_the_same_differs_in_nothing(joinery: Joinery, wood: int) -> None:
    found = worked_out(joinery, tray(joinery, wood))
    assert compare(found, found) == ()


def test_each_kind_of_change_is_named(joinery: Joinery, wood: int) -> None:
    """Another measure, one thing bought less and two of one name more, an option chosen, a margin."""
    old = worked_out(joinery, tray(joinery, wood, price_cents=50_000))
    changed = tray(
        joinery,
        wood,
        price_cents=60_000,
        measures={1: 5.0},
        bought=(tray(joinery, wood).bought[0], *[WantedLine("other", "sandpaper", 1, 300)] * 2),
        options=(WantedOption("feet", 2500), WantedOption("a lid", 9000, True)),
        charges=(),
        terms=TermsSaid(margin_bp=3000, tax_bp=887.5),
        words="oiled",
    )
    found = {
        (d.what, d.name): (d.before, d.after, d.unit) for d in compare(old, worked_out(joinery, changed))
    }
    assert found[("price of the work", "")] == (50_000, 60_000, "cents")
    assert found[("price without tax", "")] == (56_500, 69_000, "cents")
    assert found[("measure", "milling")] == (4.0, 5.0, "measure")
    assert ("half under", "milling") in found
    assert found[("bought", "handles")] == (1500, None, "cents")
    assert found[("bought", "sandpaper")] == (None, 300, "cents")
    assert found[("charge", "to the door")] == (4000, None, "cents")
    assert found[("option in the total", "feet")] == (2500, None, "cents")
    assert found[("option in the total", "a lid")] == (None, 9000, "cents")
    assert found[("terms", "margin")] == (2500, 3000, "bp")
    assert found[("terms", "tax")] == (800, 887.5, "bp")
    assert found[("words", "")] == ("oiled, with rounded corners", "oiled", "words")
    assert ("option", "feet") not in found
    assert ("bought", "cherry, 5/4") not in found


def test_two_lines_of_one_name_are_two_differences(joinery: Joinery, wood: int) -> None:
    old = worked_out(joinery, tray(joinery, wood, bought=()))
    twice = (WantedLine("other", "glue", 1, 500),) * 2
    found = compare(old, worked_out(joinery, tray(joinery, wood, bought=twice)))
    assert [d for d in found if d.what == "bought"] == [Difference("bought", "glue", None, 500, "cents")] * 2


def test_stages_that_came_or_went_are_measures_from_or_to_nothing(joinery: Joinery, wood: int) -> None:
    wanted = ad_hoc(joinery)
    old, new = (
        worked_out(joinery, replace(wanted, stages=stages)) for stages in (wanted.stages[:2], wanted.stages)
    )
    assert [(d.name, d.before, d.after, d.unit_word) for d in compare(old, new) if d.what == "measure"] == [
        ("glue-up", None, 3, "joints")
    ]
