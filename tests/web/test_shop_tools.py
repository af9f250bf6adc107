"""Tools, their edges and the kinds of edge on the Shop's pages."""

from html import unescape

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from shoptrack.engine.units import parse_length
from shoptrack.store.db import Store
from shoptrack.store.edge_kinds import edges_of
from shoptrack.store.edits import history
from shoptrack.store.tables import EdgeKindRow, EdgeRow, EntryRow, ToolRow
from tests.joinery import NOW, Joinery
from tests.web.conftest import ORIGIN
from tests.web.posting import form_fields, post, wrong
from tests.web.test_floor import text_of

KIND = {"name": "planer knives", "life": "18,5", "renewed": "sent", "away": "5", "most": "12"}


def kind_of(store: Store, tool: int) -> EdgeKindRow:
    with store.reading() as session:
        return session.get_one(EdgeKindRow, session.get_one(ToolRow, tool).kind_id)


def deeds(store: Store) -> list[tuple[object, ...]]:
    with store.reading() as session:
        rows = session.scalars(select(EntryRow).where(EntryRow.kind == "edge").order_by(EntryRow.n))
        return [(r.body["choice"], r.body["tool"], r.body.get("edge"), r.person_id) for r in rows]


def test_a_tool_comes_with_its_first_edge_fitted(office: FlaskClient, store_of: Store) -> None:
    sent = {"name": "saw blade 40", "kind": "usual saw blade", "station": "1", "edge": "blade A"}
    for _ in range(2):
        assert post(office, "/shop/tools", **sent)[0] == 303
    with store_of.reading() as session:
        assert [t.name for t in session.scalars(select(ToolRow))] == ["saw blade 40"]
        assert [e.name for e in edges_of(session, 1)] == ["blade A"]
    assert deeds(store_of) == [("fitted", 1, 1, 1)]
    kind = kind_of(store_of, 1)
    assert (kind.name, kind.usual_life_h, kind.renewed, kind.starting) == ("saw blade", 30, "sent", True)
    page = unescape(text_of(office.get("/shop/tools").text))
    assert "saw blade 40 saw blade, on the router" in page
    assert "usual saw blade" not in office.get("/shop/tools").text, "once it is the shop's own"


def test_another_kind_is_written_where_it_is_in_no_list(office: FlaskClient, store_of: Store) -> None:
    assert post(office, "/shop/tools", name="scraper", new_kind="scraper blade")[0] == 303
    assert post(office, "/shop/tools", name="other scraper", kind="1", new_kind="Scraper Blade")[0] == 303
    assert kind_of(store_of, 2).id == kind_of(store_of, 1).id, "the same word is the same kind"
    assert (kind_of(store_of, 1).usual_life_h, kind_of(store_of, 1).starting) == (20, True)


def test_a_tool_is_changed_with_its_history(office: FlaskClient, store_of: Store) -> None:
    sent = {"name": "1/8 bit", "kind": "usual spiral bit", "flute": "1/2", "life": "", "station": "1"}
    assert post(office, "/shop/tools", **sent)[0] == 303
    own = form_fields(office.get("/shop/tools/1").text)
    assert (own["flute"], own["kind"], own["life"]) == ("1/2", "1", "")
    assert post(office, "/shop/tools/1", **{**own, "life": "6.5", "station": ""})[0] == 303
    with store_of.reading() as session:
        row = session.get_one(ToolRow, 1)
        assert (row.flute_mm, row.usual_life_h) == (parse_length("1/2", "in", "flute"), 6.5)
        lines = [(x.field, x.before, x.after) for x in history(session, "tools", 1)]
    assert sorted(lines[1:]) == [("station_id", 1, None), ("usual_life_h", None, 6.5)]
    page = unescape(text_of(office.get("/shop/history").text))
    assert "usual life, hours nothing → 6.5" in page


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": ""}, "choose a kind, or write another"),
        ({"kind": "usual sonic blade"}, "What its edge is must be a whole number"),
        ({"kind": "99"}, "not there any more"),
        ({"flute": "long"}, "not a length"),
        ({"life": "0"}, "must be a number from 0.1 to 10000"),
        ({"new_kind": "x" * 201}, "longer than 200 letters"),
        ({"edge": "x" * 201}, "longer than 200 letters"),
        ({"name": ""}, "The name is missing."),
    ],
)
def test_what_is_wrong_of_a_tool(
    office: FlaskClient, store_of: Store, fields: dict[str, str], said: str
) -> None:
    sent = {"name": "bit", "kind": "usual V bit", "flute": "", "life": ""}
    assert said in unescape(wrong(office, "/shop/tools", **{**sent, **fields}))
    with store_of.reading() as session:
        assert session.scalars(select(ToolRow)).all() == []
        assert session.scalars(select(EdgeRow)).all() == []


def test_edges_are_added_renamed_retired_and_brought_back(office: FlaskClient, store_of: Store) -> None:
    post(office, "/shop/tools", name="saw", kind="usual saw blade", edge="A")
    for _ in range(2):
        assert post(office, "/shop/tools/1/edges", edge="B")[0] == 303
    assert post(office, "/shop/tools/1/edges", edge="C", fitted="yes")[0] == 303
    assert deeds(store_of) == [("fitted", 1, 1, 1), ("fitted", 1, 3, 1)], "a spare is not tapped"
    assert "already" in unescape(wrong(office, "/shop/tools/1/edges", edge="a"))
    assert "missing" in wrong(office, "/shop/tools/1/edges", edge=" ")
    assert post(office, "/shop/edges/2", **{"edge-2": "B, 60 teeth"})[0] == 303
    assert "already" in unescape(wrong(office, "/shop/edges/3", **{"edge-3": "A"}))
    assert "C is on the tool" in unescape(wrong(office, "/shop/edges/3/retired", retired="yes"))
    off = {"id": "o" * 32, "kind": "edge", "tool": "1", "edge": "3", "choice": "taken off"}
    assert post(office, "/tools/tap", **off)[0] == 303
    assert post(office, "/shop/edges/3/retired", retired="yes")[0] == 303
    assert "retired; bring it back" in unescape(wrong(office, "/shop/tools/1/edges", edge="C"))
    with store_of.reading() as session:
        assert [(e.name, e.retired_at) for e in edges_of(session, 1)] == [
            ("A", None),
            ("B, 60 teeth", None),
            ("C", NOW),
        ]
    page = office.get("/shop/tools/1").text
    assert 'action="/shop/edges/3/retired"' in page
    assert "Bring C back" in page
    assert post(office, "/shop/edges/3/retired", retired="no")[0] == 303
    with store_of.reading() as session:
        assert session.get_one(EdgeRow, 3).retired_at is None
    for path in ("/shop/edges/99", "/shop/edges/99/retired", "/shop/tools/99/edges"):
        assert office.post(path, data={"edge": "x", "edge-99": "x"}, headers=ORIGIN).status_code == 404


def test_a_tool_of_before_gets_its_first_edge(office: FlaskClient, joinery: Joinery) -> None:
    """One that was there before edges were counted: the form ticks that the first one is on it."""
    with joinery.store.writing() as session:
        kind = EdgeKindRow(name="blade", usual_life_h=20)
        session.add(kind)
        session.flush()
        session.add(ToolRow(name="old saw", kind_id=kind.id))
    page = office.get("/shop/tools/1").text
    assert "without one no run hours are counted" in page
    assert 'name="fitted" value="yes" checked' in page
    assert post(office, "/shop/tools/1/edges", edge="the blade", fitted="yes")[0] == 303
    assert deeds(joinery.store) == [("fitted", 1, 1, 1)]


def test_a_kind_of_edge_says_its_life_and_its_costs(office: FlaskClient, store_of: Store) -> None:
    costs = {"renew": "42", "dull": "180.50"}
    assert post(office, "/shop/edge-kinds", **KIND, **costs)[0] == 303
    with store_of.reading() as session:
        row = session.scalars(select(EdgeKindRow)).one()
    assert (row.usual_life_h, row.away_days, row.most_renewals, row.starting) == (18.5, 5, 12, False)
    assert (row.renew_cents, row.dull_cents) == (4200, 18050)
    page = unescape(text_of(office.get("/shop/edge-kinds").text))
    assert "usually lasts 18.5 h of cutting, sent to the sharpener, 5 working days away" in page
    assert "12 times at most, 42.00" in page.replace("\N{NO-BREAK SPACE}", " ")
    own = form_fields(office.get("/shop/edge-kinds/1").text)
    assert (own["life"], own["renew"], own["dull"], own["renewed"]) == ("18.5", "42.00", "180.50", "sent")
    assert post(office, "/shop/edge-kinds/1", **own)[0] == 303
    with store_of.reading() as session:
        assert [x.field for x in history(session, "edge_kinds", 1)] == ["made"], "nothing was changed"


def test_a_starting_life_is_one_until_somebody_says_so(office: FlaskClient, store_of: Store) -> None:
    post(office, "/shop/tools", name="planer knives", kind="usual planer knives")
    assert "Starting value" in office.get("/shop/edge-kinds/1").text
    assert "starting value" in text_of(office.get("/shop/edge-kinds").text)
    own = form_fields(office.get("/shop/edge-kinds/1").text)
    assert post(office, "/shop/edge-kinds/1", **own)[0] == 303
    assert "Starting value" not in office.get("/shop/edge-kinds/1").text
    page = office.get("/shop/edge-kinds/1").text
    assert 'href="/shop/tools/1"' in page, "what uses it"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"life": ""}, "a guess will do"),
        ({"life": "long"}, "must be a number from 0.1"),
        ({"renewed": "wished"}, "can’t be that"),
        ({"away": "-2"}, "whole number from 0 to 365"),
        ({"most": "a few"}, "whole number from 0 to 1000"),
        ({"renew": "much"}, "much"),
    ],
)
def test_what_is_wrong_of_a_kind_of_edge(office: FlaskClient, fields: dict[str, str], said: str) -> None:
    assert said in unescape(wrong(office, "/shop/edge-kinds", **{**KIND, **fields}))
