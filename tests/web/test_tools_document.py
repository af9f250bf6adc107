"""The tools as programs get them: edges where they are, what is foretold, and no money."""

from datetime import date

from flask.testing import FlaskClient

from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.dues import tools_and_dues
from shoptrack.web.tools_document import tools_doc
from tests.flows.tooling.sharp import planer
from tests.joinery import NOW, Joinery


def test_every_edge_with_its_days(client: FlaskClient, joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    for week in (3, 2):
        knives.planed(210, week)
    job = knives.to_plane(60, date(2026, 12, 20))
    (tool,) = client.get("/api/tools").get_json()["tools"]
    assert (tool["name"], tool["kind"], tool["fitted"]) == ("planer knives", "knives", knives.first)
    assert (tool["usual_life_h"], tool["starting"], tool["found_dull"], tool["cut_short"]) == (12, True, 0, 0)
    first, spare = tool["edges"]
    assert (first["name"], first["where"], first["run_h"]) == ("set A", "fitted", 7.0)
    assert 0 < first["chance_dull"] < 1
    assert first["one_in_ten_by"] <= first["half_by"]
    assert first["send_by"] <= first["half_by"]
    assert first["spare_covers"] is True
    assert [cut["stage"] for cut in first["cuts"]] == [job["planing"]]
    assert (spare["where"], spare["run_h"], spare["half_by"]) == ("spare", 0, None)


def test_it_follows_the_plan(client: FlaskClient, joinery: Joinery) -> None:
    """Nothing new, nothing sent; another job, another day."""
    knives = planer(joinery)
    knives.to_plane(30, date(2026, 12, 20))
    first = client.get("/api/tools")
    tag = {"If-None-Match": first.headers["ETag"]}
    assert client.get("/api/tools", headers=tag).status_code == 304
    knives.to_plane(60, date(2026, 12, 1))
    after = client.get("/api/tools", headers=tag)
    assert after.status_code == 200
    (before_edge,), (edge,) = (r.get_json()["tools"][0]["edges"] for r in (first, after))
    assert edge["half_by"] is not None
    assert before_edge["half_by"] is None or edge["half_by"] < before_edge["half_by"]


def test_a_tool_without_an_edge_has_no_life(joinery: Joinery) -> None:
    knives = planer(joinery)
    sight = gather(joinery.store, NOW)
    tools, dues = tools_and_dues(joinery.store, sight, plan_now(joinery.store, sight))
    bare = tools_doc(sight, tools, type(dues)(dues.database_id, 3, NOW))
    assert (bare.tools[0].id, bare.tools[0].life_h, bare.tools[0].edges, bare.number) == (
        knives.tool,
        None,
        (),
        3,
    )


def test_no_money_is_in_it(client: FlaskClient, joinery: Joinery) -> None:
    planer(joinery)
    assert "cents" not in client.get("/api/tools").text
