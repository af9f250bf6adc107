"""What a task comes after, takes and keeps, as its stage says: waits, coats, stations, clamps, rooms."""

from dataclasses import replace

from shoptrack.engine.shapes import ClampNeed, Need, Station
from shoptrack.engine.shapes.planned import After
from tests.engine.shop import ANN, LONG, OIL, PVA, SHORT, Pencil, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, tasks, wall

COATS = stage(1, "finishing", recipe=OIL, rounds=True, quantity=3, rule=(10, 20), interruption="none")


def test_a_stage_says_how_it_is_to_be_done() -> None:
    """A panel for two at the planer that may pause for lunch alone, dusty, in the bench room."""
    world = shop(stage(1, station=2, people=2, interruption="lunch", dusty=True))
    laid = laid_at(world, "9:00")
    (task,) = tasks(laid, 1)
    assert (task.name, task.pause, task.crew, task.dusty, task.room) == ("K2 milling", "lunch", 2, True, 1)
    assert task.uses == ((laid.station_of[2], 1),)
    assert (task.keeps, task.off, task.wet, task.tail, task.latest) == ((), 0, 0, 0, None)


def test_a_station_that_makes_dust_makes_its_stages_dusty() -> None:
    world = shop(stage(1, station=2), stage(2))
    world = replace(world, stations={2: Station(2, "planer", room=1, makes_dust=True)})
    assert [t.dusty for n in (1, 2) for t in tasks(laid_at(world, "9:00"), n)] == [True, False]


def test_clamps_are_kept_until_they_may_come_off() -> None:
    """Four long ones for an hour after the glue-up: they are taken from the long and from all of them."""
    laid = laid_at(shop(glue_up(1), stage(2, after=(1,))), "9:00")
    (task,) = tasks(laid, 1)
    names = {laid.problem.resources[n].name: count for n, count in task.keeps}
    assert names == {"short or longer": 4, "long": 4}
    assert (task.off, task.tail, task.pause) == (60, 0, "none")
    assert tasks(laid, 2)[0].after == (After(0, 24 * 60),)


def test_clamps_of_a_dry_fit_are_free_with_its_end() -> None:
    laid = laid_at(shop(stage(1, clamps=(ClampNeed(SHORT, 2),))), "9:00")
    assert [count for _, count in tasks(laid, 1)[0].uses] == [2]
    assert tasks(laid, 1)[0].keeps == ()


def test_the_last_stage_is_ready_when_it_is_cured() -> None:
    laid = laid_at(shop(glue_up(1)), "9:00")
    assert tasks(laid, 1)[0].tail == 24 * 60
    assert planned(laid).ready == (45 + 24 * 60,)


def test_coats_follow_each_other_within_their_window() -> None:
    """Six to twenty hours between coats: with two coats a day at most, three take two days."""
    laid = laid_at(shop(COATS), "8:00")
    first, second, third = laid.tasks_of[1]
    assert [t.after for t in tasks(laid, 1)] == [(), (After(first, 360, 1200),), (After(second, 360, 1200),)]
    assert [t.name for t in tasks(laid, 1)] == [f"K2 finishing, coat {n}" for n in (1, 2, 3)]
    assert [t.part for t in tasks(laid, 1)] == [0, 1, 2]
    assert {t.wet for t in tasks(laid, 1)} == {360}
    plan = planned(laid)
    assert not plan.missed
    assert [p.task for p in placed(laid, 1, plan)] == [first, second, third]


def test_a_need_says_least_and_greatest_wait() -> None:
    """Half an hour at least; glue says a day, which is more; a greatest wait is never less than the least."""
    needs = (Need(1, least_wait_min=30.5, greatest_wait_min=600.0), Need(2, False, 60.0, 120.0))
    laid = laid_at(shop(stage(1), glue_up(2), stage(3, needs=needs)), "9:00")
    assert tasks(laid, 3)[0].after == (After(0, 31, 600), After(1, 1440, 1440))


def test_a_least_wait_after_what_is_done_runs_on_the_wall() -> None:
    """Done at nine with six hours to wait: not before three."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    world = shop(stage(1), stage(2, needs=(Need(1, least_wait_min=360.0),)))
    assert tasks(laid_at(world, "10:00", book), 2)[0].earliest == 300


def test_what_somebody_began_waits_for_nothing_any_more() -> None:
    """Begun early, on somebody's word, and set down: it goes on whenever somebody likes."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 2, insisted=True)
    book.tap("8:10", "pause", ANN, 2)
    laid = laid_at(shop(stage(1), stage(2, after=(1,))), "9:00", book)
    assert tasks(laid, 2)[0].after == ()


def test_what_was_taken_out_of_a_job_is_neither_done_nor_waited_for() -> None:
    laid = laid_at(shop(stage(1, removed=True), stage(2, after=(99,))), "9:00")
    assert laid.tasks_of.keys() == {2}
    assert tasks(laid, 2)[0].after == ()


def test_a_place_that_things_dry_in_is_kept_through_the_cure() -> None:
    """A press with one place and glue for a day: the next panel goes in tomorrow at that hour."""
    world = shop(glue_up(1, station=3, clamps=()), glue_up(2, job=2, station=3, clamps=(ClampNeed(LONG, 2),)))
    world = replace(world, stations={3: Station(3, "press", through_cure=True)})
    laid = laid_at(world, "9:00")
    assert [t.off for n in (1, 2) for t in tasks(laid, n)] == [24 * 60] * 2
    assert {tasks(laid, 2)[0].keeps[-1]} == {(laid.station_of[3], 1)}
    assert placed(laid, 2)[0].start == wall(laid, "wed 9:45")


def test_glue_ups_wait_for_the_clamps_of_others() -> None:
    """Eight long clamps, four for each: two at once by two people, the third after an hour in clamps."""
    laid = laid_at(shop(*(glue_up(n, PVA, job=n) for n in (1, 2, 3))), "8:00")
    assert [placed(laid, n)[0].start for n in (1, 2, 3)] == [0, 0, 45 + 60]
