"""The lines of the Tools screen: what is due first on top, what may be put on, and what wants an eye."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.edge_life import Life, learn
from shoptrack.engine.shapes import Edge, EdgeKind, EdgeStands, Rack, ToolStands
from shoptrack.flows.tooling.due import DueOf, Dues, Gap
from shoptrack.flows.tooling.page import ToolsView, back_on, tools_view, wants_an_eye
from shoptrack.store.edge_kinds import NamedTool
from tests.engine.shop import CALENDAR, Pencil, shop, stage
from tests.flows.planning.laying import seen

KIND = EdgeKind(1, "knives", 20.0, away_days=3)
FIT = learn([Life(12.0, True), Life(15.0, True)], 20.0)
SAW, PLANER, CHISEL = (NamedTool(n, name, KIND, "") for n, name in ((1, "saw"), (2, "planer"), (3, "Chisel")))
TUESDAY = date(2026, 3, 10)


def edge(number: int, tool: int, hours: float = 1.0, where: str = "fitted", **more: object) -> EdgeStands:
    made = EdgeStands(Edge(number, tool, f"edge {number}"), where, None, hours, hours)  # type: ignore[arg-type]
    return replace(made, **more)  # type: ignore[arg-type]


def due(stands: EdgeStands, on: date | None = None, **more: object) -> DueOf:
    tool = stands.edge.tool
    made = DueOf(tool, f"tool {tool}", KIND, stands, 0.05, None, FIT.life_h(), 20.0, 2, 0, p50_on=on)
    return replace(made, **more)  # type: ignore[arg-type]


def view(*dues: DueOf, tools: tuple[NamedTool, ...] = (SAW, PLANER, CHISEL)) -> ToolsView:
    sight = seen(shop(stage(1)), Pencil(), "8:00")
    stands: dict[int, ToolStands] = {}
    for number in {each.tool for each in dues}:
        own = tuple(each.stands for each in dues if each.tool == number)
        stands[number] = ToolStands(number, next((e for e in own if e.where == "fitted"), None), own)
    found = Dues(sight.head.database_id, 1, sight.now, dues)
    return tools_view(sight, tools, Rack(sight.now, stands, {}), found)


def test_tools_stand_in_the_order_in_which_their_edges_are_due() -> None:
    found = view(due(edge(21, 2), date(2026, 3, 12)), due(edge(11, 1), date(2026, 3, 20)))
    assert [line.tool.name for line in found.lines] == ["planer", "saw"]
    assert [tool.name for tool in found.bare] == ["Chisel"], "no edge of it was ever written down"


def test_a_tool_that_was_retired_has_no_line() -> None:
    found = view(due(edge(21, 2)), due(edge(11, 1)), tools=(SAW,))
    assert ([line.tool.name for line in found.lines], found.bare) == (["saw"], ())


def test_the_edge_on_the_tool_is_told_first_and_the_least_used_spare_may_be_put_on() -> None:
    """A dull one, one at the sharpener and the one that is on it are no spares."""
    others = (
        edge(12, 1, 6.0, "spare"),
        edge(13, 1, 2.0, "spare"),
        edge(14, 1, 0.5, "spare", dull=True),
        edge(15, 1, 0.0, "away"),
    )
    found = view(*(due(e) for e in others), due(edge(11, 1, 9.0), date(2026, 3, 20)))
    (line,) = found.lines
    assert (line.due.edge, line.on and line.on.edge.id) == (11, 11)
    assert [each.edge for each in line.others] == [12, 13, 14, 15]
    assert line.spare is not None
    assert line.spare.edge.id == 13


def test_nothing_on_it_tells_of_the_edge_that_is_due_first() -> None:
    (line,) = view(due(edge(12, 1, 3.0, "spare")), due(edge(13, 1, 1.0, "away"))).lines
    assert line.on is None
    assert line.due.edge == 12


def test_an_edge_is_back_after_its_working_days() -> None:
    """Three working days from Tuesday, and over a weekend from Thursday; none where it is away for none."""
    assert back_on(CALENDAR, TUESDAY, 3) == date(2026, 3, 13)
    assert back_on(CALENDAR, date(2026, 3, 12), 3) == date(2026, 3, 17)
    assert back_on(CALENDAR, TUESDAY, 0) is None
    assert view(due(edge(11, 1))).lines[0].back_on == date(2026, 3, 13)


@pytest.mark.parametrize(
    ("more", "wanted"),
    [
        ({}, False),
        ({"chance_dull": 0.2}, True),
        ({"chance_dull": 0.19}, False),
        ({"send_late": True}, True),
        ({"send_late": True, "gap": Gap(TUESDAY, TUESDAY, covered=True)}, False),
        ({"stands": edge(11, 1, dull=True)}, True),
        ({"stands": edge(11, 1, where="spare", dull=True), "chance_dull": 1.0}, False),
    ],
)
def test_what_wants_an_eye(more: dict[str, object], wanted: bool) -> None:
    """From one in five on; what is not on its tool cuts nothing."""
    one = replace(due(edge(11, 1)), **more)  # type: ignore[arg-type]
    assert wants_an_eye(one) is wanted
    assert view(one).soon == int(wanted)
