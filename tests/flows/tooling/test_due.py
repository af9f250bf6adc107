"""What is kept of the dues of edges: which edge leads, and the tools whose edges are another by now."""

from datetime import timedelta

from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.due import Dues, dues_shown, dues_sign, keep_dues, kept_dues, marks_of
from tests.flows.tooling.sharp import planer
from tests.joinery import Joinery, at


def test_the_edge_on_the_tool_leads(joinery: Joinery) -> None:
    """By number it would be the other way."""
    knives = planer(joinery, spare=True)
    knives.deed("fitted", at("7:50"), edge=knives.spare)
    found = knives.dues(at("8:00"))
    assert [each.edge for each in found.of_tool(knives.tool)] == [knives.spare, knives.first]
    assert found.of_tool(99) == ()


def test_what_was_found_for_another_database_is_not_shown(joinery: Joinery) -> None:
    knives = planer(joinery)
    found = knives.dues(at("8:00"))
    sight = gather(joinery.store, at("8:00"))
    keep_dues(joinery.store, Dues("another", found.number, found.made_at, found.of, found.marks))
    assert dues_shown(joinery.store, sight).of == ()
    assert kept_dues(joinery.store, sight, found.number) is None
    assert dues_sign(joinery.store) == found.number


def test_what_was_found_this_morning_holds_all_day(joinery: Joinery) -> None:
    knives = planer(joinery)
    found = knives.dues(at("8:00"))
    assert kept_dues(joinery.store, gather(joinery.store, at("16:00")), found.number) is found
    assert (
        kept_dues(joinery.store, gather(joinery.store, at("8:00") + timedelta(days=1)), found.number) is None
    )


def test_a_mark_is_another_once_anything_was_done_or_struck(joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    before = marks_of(gather(joinery.store, at("8:00")))
    assert before.keys() == {knives.tool}
    tap = knives.deed("found dull", at("8:10"))
    dull = marks_of(gather(joinery.store, at("8:11")))
    joinery.tap("strike", at("8:12"), of=tap)
    assert dull != before
    assert marks_of(gather(joinery.store, at("8:13"))) == before
