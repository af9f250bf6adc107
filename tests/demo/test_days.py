from collections import defaultdict
from itertools import pairwise

from shoptrack.engine import hours
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Replayed, World
from shoptrack.store import log, snapshot
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, wall


def told(store: Store) -> tuple[Replayed, World]:
    with store.reading() as session:
        world = snapshot.whole_world(session)
        return replay(log.whole_log(session), world, wall(TUESDAY)), world


def test_people_tap_on_days_they_work(whole: Store) -> None:
    """A start lies within the hours of whoever made it."""
    with whole.reading() as session:
        entries, world = log.whole_log(session), snapshot.world(session)
    starts = [e for e in entries if e.kind == "start"]
    outside = [e for e in starts if not hours.is_working(world.calendar, e.person, e.at)]
    assert len(outside) <= len(starts) * 0.01  # a wrong start is made a minute before the right one


def test_stages_are_done_in_their_order(whole: Store) -> None:
    """Next to nothing is begun before what it needs is done."""
    state, _ = told(whole)
    begun = [p for passes in state.passes.values() for p in passes if p.started_at is not None]
    assert sum(p.early for p in begun) <= len(begun) * 0.01


def test_a_station_has_one_stage_at_a_time(whole: Store) -> None:
    """Stages done together share it; otherwise the next stint at it begins when the last has ended."""
    state, world = told(whole)
    held = defaultdict(set)
    for passes in state.passes.values():
        for stint in (s for p in passes for s in p.stints):
            station = world.stages[stint.stage].station
            if station is not None and stint.end is not None and stint.counted:
                held[station].add((stint.counted[0][0], stint.counted[0][1], stint.start_id))
    turns = [(a, b) for spans in held.values() for a, b in pairwise(sorted(spans))]
    overlapping = [(a, b) for a, b in turns if b[0] < a[1]]
    assert len(turns) > 500
    assert len(overlapping) <= len(turns) * 0.02


def test_milling_is_done_together_now_and_then(whole: Store) -> None:
    state, _ = told(whole)
    assert sum(1 for ps in state.passes.values() for p in ps if len(p.together) > 1) >= 8
