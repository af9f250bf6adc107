"""What tools are to cut by a plan: hours by day and job, at their share, by the material's wear."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.shapes import World
from shoptrack.flows.tooling.ahead import ToCut, by_day_and_job, to_cut, wear_of
from tests.engine.shop import ANN, BEFORE, Pencil, at, shop, stage
from tests.flows.planning.laying import laid_at, planned

V_BIT, SAW, MAPLE = 1, 2, 7


def hours(world: World, when: str = "9:00", book: Pencil | None = None) -> dict[int, list[ToCut]]:
    laid = laid_at(world, when, book)
    return {tool: list(cuts) for tool, cuts in to_cut(world, laid, planned(laid)).items()}


def with_wear(world: World) -> World:
    return replace(world, wears={MAPLE: ((BEFORE, 1.5), (at("mon 8:00"), 2.0), (at("fri 8:00"), 9.0))})


def test_a_share_of_the_minutes_times_the_wear_of_today() -> None:
    """An hour by hand, the saw cutting half of it, in wood that dulls twice as fast since Monday: an hour."""
    world = with_wear(shop(stage(1, tools=(V_BIT, SAW), shares=(1.0, 0.5), material=MAPLE)))
    found = hours(world)
    assert found == {V_BIT: [ToCut(V_BIT, 1, 1, 0, 0, 2.0)], SAW: [ToCut(SAW, 1, 1, 0, 0, 1.0)]}


def test_where_nobody_says_a_tool_cuts_all_the_time_in_the_usual_wood() -> None:
    assert hours(shop(stage(1, tools=(V_BIT,)))) == {V_BIT: [ToCut(V_BIT, 1, 1, 0, 0, 1.0)]}


def test_a_stage_over_night_is_cut_on_both_days_without_lunch_and_night() -> None:
    """Seven hours from ten to five, lunch apart 6 h 15; the rest, 45 minutes, on the next day from eight."""
    found = hours(shop(stage(1, quantity=42, tools=(V_BIT,))), "10:00")[V_BIT]
    assert [(c.day, c.effective_h) for c in found] == [(0, 6.25), (1, 0.75)]
    assert [c.minute for c in found] == [0, 22 * 60]


def test_two_at_a_stage_count_once() -> None:
    """Two hours of hands by two people are one of the tool."""
    found = hours(shop(stage(1, quantity=12, people=2, tools=(V_BIT,))))[V_BIT]
    assert [c.effective_h for c in found] == [1.0]


def test_of_a_watched_machine_its_own_minutes_count() -> None:
    """A run of two hours, of which twenty minutes take hands: it cuts for two hours, through no lunch.

    The second router job begins at 11:00 and goes on while anybody is here: nobody is at lunch.
    """
    run = stage(1, rule=(20, 10), quantity=10, attendance="within earshot", station=1, tools=(V_BIT,))
    found = hours(shop(run, replace(run, id=2, job=2)))[V_BIT]
    assert [(c.stage, c.day, c.minute, c.effective_h) for c in found] == [(1, 0, 0, 2.0), (2, 0, 120, 2.0)]


def test_what_is_in_hand_counts_with_what_is_left_of_it() -> None:
    book = Pencil()
    book.tap("8:20", "start", ANN, 1)
    found = hours(shop(stage(1, rule=(0, 20), tools=(V_BIT,))), "9:00", book)[V_BIT]
    assert found[0].minute == 0
    assert 1.0 < found[0].effective_h < 2.0


def test_stages_done_together_have_each_its_part_of_the_minutes() -> None:
    """An hour's and two hours' work begun together: three hours on the tool in all, not six."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 1, 2)
    world = shop(stage(1, tools=(V_BIT,)), stage(2, job=2, quantity=12, tools=(V_BIT,)))
    found = hours(world, "9:00", book)[V_BIT]
    assert sum(cut.effective_h for cut in found) == pytest.approx(3.0, abs=0.1)
    first, second = (sum(cut.effective_h for cut in found if cut.stage == n) for n in (1, 2))
    assert second == pytest.approx(2 * first, rel=0.05)


def test_a_stage_without_tools_and_an_empty_shop_cut_nothing() -> None:
    assert hours(shop(stage(1))) == {}
    assert hours(replace(shop(stage(1)), jobs={}, stages={})) == {}


def test_wear_is_that_in_force() -> None:
    world = with_wear(shop(stage(1, material=MAPLE), stage(2, material=8), stage(3)))
    own = world.stages
    assert [wear_of(world, own[n], at("9:00")) for n in (1, 2, 3)] == [2.0, 1.0, 1.0]
    assert wear_of(world, own[1], at("sat 8:00")) == 9.0


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 4), st.floats(0.0, 9.0)), max_size=20))
def test_the_hours_of_days_and_jobs_are_all_there_are(said: list[tuple[int, int, float]]) -> None:
    cuts = [ToCut(V_BIT, 1, job, day, day * 1440, h) for day, job, h in said]
    found = by_day_and_job(cuts)
    assert sum(found.values()) == pytest.approx(sum(h for _, _, h in said))
    assert set(found) == {(day, job) for day, job, _ in said}
