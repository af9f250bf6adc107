from shoptrack.engine.shapes import in_force
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, Make, wall


def test_clamps_hang_in_four_reaches_and_some_were_bought_later(short: Make) -> None:
    pools = gather(short(TUESDAY), wall(TUESDAY)).world.pools.values()
    assert len({p.reach_mm for p in pools}) == 4
    assert any(len({count for _, count in p.owned}) > 1 for p in pools)


def test_a_rule_of_thumb_was_thought_over_once(whole: Store) -> None:
    """Flattening went faster with the drum sander; what was done before keeps its old rule."""
    world = gather(whole, wall(TUESDAY)).world
    rule = next(s.rule for s in world.stages.values() if s.kind == "flattening")
    assert in_force(rule, wall(TUESDAY)).rate_min < in_force(rule, wall("2026-01-05T09:00")).rate_min


def test_machines_make_dust_and_stand_in_the_machine_room(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    dusty = [s for s in world.stations.values() if s.makes_dust]
    assert len(dusty) >= 6
    assert {world.rooms[s.room].name for s in dusty if s.room is not None} == {"machine room"}
