"""The Bench's lists by the plan, for whoever stands at it."""

from datetime import date

import pytest

from shoptrack.flows.bench import bench
from shoptrack.flows.planning.next_up import next_up
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, UNA, Joinery


@pytest.mark.parametrize("person", [UNA, PIET])
def test_what_waits_is_never_listed_before_what_it_waits_for(joinery: Joinery, person: int) -> None:
    """Whoever the plan gives the stages to: without network the first of a job is the one to go on with."""
    for n in range(3):
        joinery.add("tray", f"tray {n}", date(2026, 12, 4 + n))
        joinery.add("door", f"door {n}", date(2026, 12, 4 + n))
    sight = gather(joinery.store, NOW)
    view = bench(sight, person, NOW, next_up(sight, plan_now(joinery.store, sight)))
    place = {choice.stage.id: n for n, choice in enumerate(view.waiting)}
    assert len(place) > 10
    for choice in view.waiting:
        for need in choice.stage.needs:
            assert place.get(need.stage, -1) < place[choice.stage.id]
