"""Edges through the eighteen months of the invented shop: worn by its log, found dull, made sharp again."""

from collections import Counter
from statistics import median

import pytest

from shoptrack.demo.edges import TOOLS
from shoptrack.engine.edge_book import rack
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import DULL, Deed, Rack, Replayed, World
from shoptrack.store import log, snapshot, worked
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, wall

NOW = wall(TUESDAY)


@pytest.fixture(scope="module")
def told(whole: Store) -> tuple[Replayed, World, Rack]:
    with whole.reading() as session:
        world = snapshot.whole_world(session)
        state = replay(log.whole_log(session), world, NOW)
        found = rack(world.tools, world.edges, state.deeds, worked.cuts(session), NOW)
    return state, world, found


def by_tool(state: Replayed, world: World, tool: str) -> list[Deed]:
    return [deed for deed in state.deeds if world.tools[deed.tool] == tool]


def test_what_is_said_of_edges_hangs_together(told: tuple[Replayed, World, Rack]) -> None:
    """Nothing is fitted that is away, nothing comes back that never left, nobody cuts without an edge."""
    _, _, found = told
    assert found.odd == {}


def test_all_that_a_small_shop_says_of_edges_is_in_the_log(told: tuple[Replayed, World, Rack]) -> None:
    state, world, _ = told
    said = Counter(deed.did for deed in state.deeds)
    assert {
        "fitted",
        "found dull",
        "cleaned",
        "turned",
        "replaced",
        "broken",
        "sent",
        "back",
        "worn out",
        "meter",
    } <= set(said)
    assert (said["cleaned"], said["broken"], said["meter"], said["worn out"]) == (1, 1, 2, 1)
    assert said["found dull"] > 25
    assert {deed.cents is None for deed in state.deeds if deed.did == "back"} == {False}
    assert [d.did for d in by_tool(state, world, "surfacing inserts")].count("turned") >= 3


def test_lives_are_as_long_as_the_hidden_truth_has_them(told: tuple[Replayed, World, Rack]) -> None:
    """Over all tools the lives that were seen to their end are near the time by which half are dull."""
    _, world, found = told
    half_h = {tool.name: tool.half_h for tool in TOOLS}
    shares = [
        life.effective_h / half_h[world.tools[stands.tool]]
        for stands in found.tools.values()
        for life in stands.lives
        if life.dull
    ]
    assert len(shares) > 25
    assert 0.75 < median(shares) < 1.25
    assert any(life.ended == "back" and not life.dull for t in found.tools.values() for life in t.lives)


def test_a_meter_says_that_the_jointer_ran_a_little_longer(told: tuple[Replayed, World, Rack]) -> None:
    """It runs on between boards; the log and the meter differ by a few per cent."""
    _, world, found = told
    scales = {world.tools[tool]: stands.meter_scale for tool, stands in found.tools.items()}
    assert {name for name, scale in scales.items() if scale != 1.0} == {"jointer knives"}
    assert 1.0 < scales["jointer knives"] < 1.15


def test_what_a_dull_edge_spoiled_names_an_edge_that_was_dull(told: tuple[Replayed, World, Rack]) -> None:
    """Every spoiled piece of closed jobs that a dull edge is blamed for is followed by one found dull."""
    state, world, _ = told
    dull = [deed for deed in state.deeds if deed.did == "found dull"]
    blamed = [
        s
        for s in state.spoils
        if s.cause == "dull edge" and world.jobs[world.stages[s.found_at].job].closed_at
    ]
    assert blamed
    for spoil in blamed:
        tools = world.stages[spoil.found_at].tools
        assert any(d.tool in tools and 0 <= (d.at - spoil.at).total_seconds() < 600 for d in dull)


def test_a_set_that_still_cuts_goes_along_with_a_dull_one(told: tuple[Replayed, World, Rack]) -> None:
    """Some were sharpened early: they left within minutes of an edge of another tool that was found dull."""
    state, _, found = told
    cut_short = {
        (life.edge, life.until_at) for t in found.tools.values() for life in t.lives if not life.dull
    }
    early = [deed for deed in state.deeds if deed.did == "back" and (deed.edge, deed.at) in cut_short]
    sent = [
        next(d for d in reversed(state.deeds) if d.did == "sent" and d.edge == e.edge and d.at < e.at)
        for e in early
    ]
    dull = [deed for deed in state.deeds if deed.did in DULL]
    along = [
        s for s in sent if any(d.tool != s.tool and 0 < (s.at - d.at).total_seconds() < 300 for d in dull)
    ]
    assert len(along) >= 2
