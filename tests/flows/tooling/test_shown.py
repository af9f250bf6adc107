"""The Tools screen from the database: as the log has it this instant, and what is foretold by the plan."""

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.tooling.shown import show_tool, show_tools
from shoptrack.store.tables import ToolRow
from tests.flows.tooling.sharp import planer
from tests.joinery import NOW, Joinery, at


def test_a_stage_that_is_finished_moves_the_hours_of_its_edge(joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    knives.to_plane(30)
    (line,) = show_tools(joinery.store, NOW).lines
    assert (line.due.stands.run_h, line.spare and line.spare.edge.name) == (0, "set B")
    assert line.due.cuts, "by the plan it cuts the planks"
    knives.planed(90, 1)
    (line,) = show_tools(joinery.store, NOW).lines
    assert line.due.stands.run_h == pytest.approx(1.5)
    assert show_tool(joinery.store, NOW, knives.tool).line == line


def test_a_tap_shows_at_once(joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    entry = knives.deed("found dull", at("13:00"), edge=knives.first)
    view = show_tools(joinery.store, NOW)
    assert (view.soon, view.lines[0].due.stands.dull) == (1, True)
    joinery.tap("strike", at("13:01"), of=entry)
    assert show_tools(joinery.store, NOW).soon == 0


def test_no_tools_and_no_such_tool(joinery: Joinery) -> None:
    view = show_tools(joinery.store, NOW)
    assert (view.lines, view.bare, view.soon) == ((), (), 0)
    with pytest.raises(NotFound, match="no such tool"):
        show_tool(joinery.store, NOW, 99)


def test_a_retired_tool_leaves_the_screen_and_keeps_its_page(joinery: Joinery) -> None:
    knives = planer(joinery)
    with joinery.store.writing() as session:
        session.get_one(ToolRow, knives.tool).retired_at = NOW
    assert show_tools(joinery.store, NOW).lines == ()
    assert show_tool(joinery.store, NOW, knives.tool).tool.name == "planer knives"
