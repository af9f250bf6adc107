"""Kinds of edge and the edges of the invented shop, as they are written down."""

from collections import Counter

from sqlalchemy import select

from shoptrack.demo.edges import KINDS, TOOLS
from shoptrack.store.edge_kinds import edge_kinds, list_tools
from shoptrack.store.tables import EdgeRow, ToolRow
from tests.demo.conftest import TUESDAY, Make


def test_most_kinds_were_said_and_one_still_has_its_starting_value(short: Make) -> None:
    with short(TUESDAY).reading() as session:
        kinds = edge_kinds(session).values()
    assert {kind.name for kind in kinds} == {kind.name for kind in KINDS}
    assert [kind.name for kind in kinds if kind.starting] == ["V bit"]
    assert {kind.renewed for kind in kinds} == {"sent", "turned", "replaced"}
    assert all((kind.away_days > 0) == (kind.renewed == "sent") for kind in kinds)
    assert all(kind.dull_cents > kind.renew_cents > 0 for kind in kinds)


def test_every_tool_has_an_edge_and_some_have_a_spare(short: Make) -> None:
    with short(TUESDAY).reading() as session:
        tools = list_tools(session)
        edges = Counter(session.scalars(select(EdgeRow.tool_id)))
    assert [tool.name for tool in tools] == [tool.name for tool in TOOLS]
    assert set(edges) == {tool.id for tool in tools}
    assert {1, 2} == set(edges.values())


def test_bits_say_how_long_their_flutes_are(short: Make) -> None:
    with short(TUESDAY).reading() as session:
        flutes = dict(session.execute(select(ToolRow.name, ToolRow.flute_mm)).all())
    assert {name for name, flute in flutes.items() if flute} == {"1/8 upcut bit", "60° V-bit"}
