"""What a plan of the invented shop heeds."""

from datetime import time

from shoptrack.demo.planning import NEVER, ROOM
from shoptrack.flows.shopfloor import gather
from shoptrack.store import inspection
from tests.demo.conftest import TUESDAY, Make, wall


def test_the_part_timer_leaves_the_router_to_the_others(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    kinds = {s.kind_id: s.kind for s in world.stages.values()}
    never = {p.name: {kinds[kind] for kind in p.never} for p in world.people.values()}
    assert never == {"Maren": set(), "Idris": set(), "Wilda": set(NEVER)}


def test_machines_hold_one_and_a_bench_and_a_booth_several(short: Make) -> None:
    stations = gather(short(TUESDAY), wall(TUESDAY)).world.stations.values()
    assert {s.name: (s.places, s.through_cure) for s in stations if s.places > 1} == ROOM
    assert all(s.places == 1 for s in stations if s.makes_dust)


def test_one_comes_on_the_next_saturday(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    (extra,) = world.calendar.overtime
    assert (extra.on.weekday(), extra.opens, extra.closes) == (5, time(8), time(12))
    assert 0 < (extra.on - wall(TUESDAY).date()).days <= 7
    assert world.people[extra.person or 0].name == "Idris"
    with short(TUESDAY).reading() as session:
        assert inspection.replay_check(session, wall(TUESDAY)) == []


def test_three_orders_wait_or_waited_for_something(short: Make) -> None:
    """Lumber for one stage and a drawing are still to come; a deposit came a day before it was agreed."""
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    found = {world.jobs[a.job].title: a for a in world.awaited}
    assert len(found) == len(world.awaited) == 3
    lumber, drawing, deposit = (found[t] for t in ("wide trays, ash", "bar stools, ash", "two game boards"))
    assert lumber.before is not None
    assert world.stages[lumber.before].name == "rough the blanks"
    assert (drawing.what, drawing.before, drawing.came_on) == ("drawing approved", None, None)
    assert deposit.came_on is not None
    assert deposit.agreed_on is not None
    assert deposit.came_on < deposit.agreed_on <= wall(TUESDAY).date()
