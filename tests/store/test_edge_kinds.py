"""Kinds of edge as shapes, with their own lines of history; a tool's own usual life wins over its kind's."""

from shoptrack.store.edge_kinds import (
    add_edge,
    add_edge_kind,
    change_edge_kind,
    edge_kinds,
    edges_of,
    kinds_of_tools,
    list_edge_kinds,
)
from shoptrack.store.edits import history
from shoptrack.store.tables import ToolRow
from shoptrack.store.tools import make_tool
from tests.joinery import NOW, PIET, Joinery


def test_a_kind_is_added_and_changed_with_its_history(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = add_edge_kind(session, "planer knives", PIET, NOW, starting=True, usual_life_h=20.0)
        id_ = row.id
        change_edge_kind(session, row, PIET, NOW, usual_life_h=14.0, away_days=5)
    with joinery.store.reading() as session:
        kind = edge_kinds(session)[id_]
        lines = [(x.field, x.before, x.after) for x in history(session, "edge_kinds", id_)]
        assert [r.name for r in list_edge_kinds(session)] == ["planer knives"]
    assert (kind.usual_life_h, kind.away_days, kind.renewed, kind.starting) == (14, 5, "sent", False)
    assert ("made", None, True) in lines
    assert {("starting", True, False), ("usual_life_h", 20, 14), ("away_days", 0, 5)} <= set(lines)


def test_a_tools_own_life_wins_over_that_of_its_kind(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        thick, thin = (make_tool(session, name, kind="bit").id for name in ("thick bit", "thin bit"))
        session.get_one(ToolRow, thin).usual_life_h = 4.0
    with joinery.store.reading() as session:
        kinds = kinds_of_tools(session)
    assert (kinds[thick].usual_life_h, kinds[thick].starting) == (20, True)
    assert (kinds[thin].usual_life_h, kinds[thin].starting) == (4, False)
    assert kinds[thick].id == kinds[thin].id


def test_retired_edges_come_last(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        saw, other = (make_tool(session, name, kind="blade").id for name in ("saw", "other saw"))
        first = add_edge(session, saw, "A", PIET, NOW)
        add_edge(session, saw, "B", None, NOW)
        add_edge(session, other, "A", None, NOW)
        first.retired_at = NOW
    with joinery.store.reading() as session:
        assert [e.name for e in edges_of(session, saw)] == ["B", "A"]
        assert [x.person_id for x in history(session, "edges", edges_of(session, saw)[1].id)] == [PIET]
