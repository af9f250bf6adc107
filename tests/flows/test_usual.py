"""What is usual: by rule of thumb, and from three times of a kind on what was learned, from memory alone."""

import pytest

from shoptrack.flows.bench import bench
from shoptrack.flows.floor import floor
from shoptrack.flows.jobs import job_view
from shoptrack.flows.learning import learned
from shoptrack.flows.shopfloor import Sight, gather, knowing
from shoptrack.flows.usual import enough, foretold_of, usual_min, whole_min
from tests.flows.worked import mill
from tests.joinery import NOW, PIET, BusyDay, Joinery


def after(shop: Joinery, minutes: list[int], first: int = -60) -> Sight:
    """The shop after trays of two boards were milled in so many minutes, and that was learned."""
    mill(shop, minutes, first)
    learned(shop.store, NOW)
    return gather(shop.store, NOW)


def test_stages_together_have_the_largest_set_up_once(joinery: Joinery, day: BusyDay) -> None:
    """By rule of thumb, milling 12 boards and a frame of 4: 15 + 120 + 40 min."""
    sight = gather(joinery.store, NOW)
    assert usual_min(sight, (day.elm["milling"], day.hall["frame"])) == 175
    assert usual_min(sight, ()) == 0


def test_from_three_times_on_they_say_what_is_usual(joinery: Joinery) -> None:
    """Two boards took 70 minutes each time, by rule of thumb they are 35; two times say nothing yet."""
    tray = joinery.add("tray", "tray", None)
    few = after(joinery, [70, 68])
    assert usual_min(few, (tray["milling"],)) == whole_min(few, few.world.stages[tray["milling"]]) == 35
    sight = after(joinery, [69, 70, 69, 68], first=-40)
    known = sight.learned
    assert enough(known, joinery.kinds["milling"])
    assert not enough(known, joinery.kinds["inlay"])
    assert not enough(None, joinery.kinds["milling"])
    stage = sight.world.stages[tray["milling"]]
    assert usual_min(sight, (tray["milling"],)) == pytest.approx(67, abs=6)
    assert whole_min(sight, stage) == pytest.approx(67, abs=6)
    assert foretold_of(sight, stage, 0.0) is None
    assert foretold_of(sight, sight.world.stages[tray["inlay"]], 10.0) is None


def test_of_one_kind_together_one_set_up_and_of_the_others_the_rule_of_thumb(joinery: Joinery) -> None:
    """Four boards of two trays and an inlay, whose 80 minutes nobody knows better yet."""
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None)
    sight = after(joinery, [69, 70, 69, 68])
    both = usual_min(sight, (one["milling"], two["milling"]))
    alone = usual_min(sight, (one["milling"],))
    assert alone < both < 2 * alone
    assert usual_min(sight, (one["milling"], two["milling"], one["inlay"])) == pytest.approx(both + 80)


def test_the_pages_say_it(joinery: Joinery) -> None:
    """The Floor, the Bench and the job's page say the same."""
    tray = joinery.add("tray", "tray", None)
    sight = after(joinery, [69, 70, 69, 68])
    usual = usual_min(sight, (tray["milling"],))
    assert next(c for c in floor(sight).ready if c.place.stage == tray["milling"]).usual_min == usual
    choices = bench(sight, PIET, NOW).choices
    assert next(c for c in choices if c.stage.id == tray["milling"]).usual_min == usual
    assert job_view(sight, tray["job"]).line.steps[0].usual_min == usual


def test_it_is_what_was_learned_last(joinery: Joinery) -> None:
    """A look never learns: more times make no difference to it until something else has learned them."""
    tray = joinery.add("tray", "tray", None)
    before = after(joinery, [69, 70, 69, 68])
    mill(joinery, [40] * 9, first=-20)
    stale = gather(joinery.store, NOW)
    assert stale.learned is before.learned
    learned(joinery.store, NOW)
    fresh = gather(joinery.store, NOW)
    assert usual_min(fresh, (tray["milling"],)) < usual_min(stale, (tray["milling"],)) - 5
    assert usual_min(knowing(fresh, stale.learned), (tray["milling"],)) == usual_min(
        stale, (tray["milling"],)
    )
    assert knowing(fresh, fresh.learned) is fresh
