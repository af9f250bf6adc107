"""The work to come as a problem: when orders are due, maps both ways, shops without work or people."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from shoptrack.engine.shapes import Awaited, Calendar, Job, Need, OffDays, World
from shoptrack.flows.planning.laid import MUST_KEEP, Laid, lay
from tests.engine.shop import ANN, BEN, OIL, PVA, ZONE, Pencil, at, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, past, placed, planned, seen, tasks, wall

WORLD = shop(stage(1), glue_up(2, after=(1,)), stage(3, "sanding", after=(2,)), stage(4, "carving", job=2))


def with_job(number: int, **more: object) -> World:
    job: Job = replace(WORLD.jobs[number], **more)  # type: ignore[arg-type] # the names are those of Job
    return replace(WORLD, jobs={**WORLD.jobs, number: job})


def test_an_order_is_due_when_the_shop_closes_on_its_day() -> None:
    """Promised for Friday the 20th; one for a Sunday, that is for the Friday before; one without a day."""
    laid = laid_at(WORLD, "9:00")
    assert [(o.name, o.job, o.weight) for o in laid.problem.orders] == [("K2", 1, 1), ("K3", 2, 1)]
    assert laid.problem.orders[0].due == laid.minutes(at("17:00", on=date(2026, 3, 20)))
    sunday = laid_at(with_job(1, promised_on=date(2026, 3, 22)), "9:00")
    assert sunday.problem.orders[0].due == laid.problem.orders[0].due
    assert laid_at(with_job(1, promised_on=None), "9:00").problem.orders[0].due is None


def test_a_promise_that_is_past_is_late_by_all_that_time() -> None:
    laid = laid_at(with_job(2, promised_on=date(2026, 3, 9), must_keep=True), "9:00")
    assert (laid.problem.orders[1].due, laid.problem.orders[1].weight) == (-16 * 60, MUST_KEEP)
    assert planned(laid).worth.late == MUST_KEEP * (16 * 60 + 60)


def test_what_others_are_late_with_is_not_the_shop_s_lateness() -> None:
    """The deposit was agreed for Tuesday and comes on Thursday: Friday's promise is Sunday's, so Friday's."""
    deposit = Awaited(1, 1, "deposit", agreed_on=date(2026, 3, 10), expected_on=date(2026, 3, 12))
    world = replace(with_job(1, promised_on=date(2026, 3, 11)), awaited=(deposit,))
    assert laid_at(world, "9:00").problem.orders[0].due == wall(laid_at(world, "9:00"), "fri 17:00")


def test_maps_lead_both_ways() -> None:
    laid = laid_at(WORLD, "9:00")
    for number, places in laid.tasks_of.items():
        assert all(laid.pieces[n].stage == laid.problem.tasks[n].stage == number for n in places)
    assert sorted(n for places in laid.tasks_of.values() for n in places) == list(range(4))
    assert {job: laid.problem.orders[n].job for job, n in laid.order_of.items()} == {1: 1, 2: 2}
    assert all(laid.problem.workers[n].person == person for person, n in laid.worker_of.items())
    assert [laid.problem.resources[laid.station_of[n]].name for n in (1, 2)] == ["router", "planer"]
    assert laid.instant(laid.minutes(at("thu 9:00"))) == at("thu 9:00")
    assert len(laid.parts) == len(laid.problem.tasks)


def test_every_part_is_a_share_of_a_draw_of_its_job() -> None:
    """Shares of one draw sum to one, and the middle of what is drawn is what the task takes."""
    coats = stage(5, "finishing", recipe=OIL, rounds=True, quantity=3, rule=(10, 20), job=2)
    world = replace(WORLD, stages={**WORLD.stages, 5: coats})
    laid = laid_at(world, "9:00")
    whole: dict[int, float] = {}
    for n, own in enumerate(laid.parts):
        for share in own:
            assert laid.draws[share.draw].job == laid.problem.orders[laid.problem.tasks[n].order].job
            whole[share.draw] = whole.get(share.draw, 0.0) + share.share
    assert list(whole.values()) == pytest.approx([1.0] * 5)


def test_a_shop_without_jobs_has_no_tasks() -> None:
    laid = laid_at(shop(), "9:00")
    assert (laid.problem.tasks, laid.problem.orders, laid.untold) == ((), (), ())
    assert [w.name for w in laid.problem.workers] == ["Ann", "Ben", "Cleo"]
    assert planned(laid).placed == ()


def test_a_job_that_is_closed_is_not_planned() -> None:
    assert laid_at(with_job(2, closed_at=at("8:00")), "9:00").tasks_of.keys() == {1, 2, 3}


@pytest.mark.parametrize("people", [True, False])
def test_where_nobody_works_nothing_is_planned_and_it_is_said(people: bool) -> None:
    """No week was ever said, or nobody works here: one sentence, and no plan."""
    world = replace(WORLD, calendar=Calendar("UTC", ())) if people else replace(WORLD, people={})
    laid = laid_at(world, "9:00")
    assert laid.problem.tasks == ()
    assert [(told.job, told.sentence) for told in laid.untold] == [
        (None, "Nobody is at work in the coming year: say under Shop who works here and when it is open.")
    ]
    assert laid.not_whole == {1, 2}
    assert planned(laid).ready == (None, None)
    assert laid_at(replace(world, stages={}), "9:00").untold == ()


def test_with_nobody_at_work_this_week_it_all_begins_on_monday() -> None:
    off = OffDays(None, date(2026, 3, 9), date(2026, 3, 13))
    laid = laid_at(replace(WORLD, calendar=replace(WORLD.calendar, off=(off,))), "9:00")
    assert placed(laid, 1)[0].start == wall(laid, "nextmon 8:00")
    assert placed(laid, 4)[0].start == wall(laid, "nextmon 8:00")


def test_over_the_night_of_changing_clocks_glue_waits_real_hours() -> None:
    """Closed on a Friday at half past four; on Sunday the clocks go forward: an hour later on the wall."""
    friday = date(2026, 3, 6)
    book = Pencil()
    book.tap(at("16:00", on=friday), "start", ANN, 1)
    book.tap(at("16:30", on=friday), "closed", ANN, 1)
    book.tap(at("16:35", on=friday), "finish", ANN, 1)
    slow = replace(PVA, marks=(replace(PVA.marks[2], from_min=64 * 60.0),))
    world = shop(glue_up(1, slow), stage(2, after=(1,)))
    laid = lay(seen(world, book, at("16:45", on=friday)))
    ready = laid.instant(tasks(laid, 2)[0].earliest)
    assert ready == at("16:30", on=friday) + timedelta(hours=64)
    assert ready.astimezone(ZONE).strftime("%a %H:%M") == "Mon 09:30"


def test_the_minute_it_is_laid_in_does_not_matter() -> None:
    """Of one state of the log what is not begun stays the same, and what is in hand gets less."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    laids = [laid_at(WORLD, f"8:{minute}", book) for minute in (10, 20, 30, 40)]
    left = [tasks(laid, 1)[0].work for laid in laids]
    assert all(later < sooner for sooner, later in pairwise(left))
    assert len({tasks(laid, 3)[0] for laid in laids}) == 1


def test_a_shop_in_the_midst_of_everything() -> None:
    """In hand, running, curing, wet, aside, awaited, done together, by rounds: a plan that breaks no rule."""
    laid = busy("9:10")
    assert planned(laid).left == ()
    assert len(past(laid)) == 2
    assert planned(busy("16:58")).left == ()
    assert planned(busy("fri 23:00")).left == ()


def busy(when: str) -> Laid:
    coats = stage(5, "finishing", job=3, recipe=OIL, rounds=True, quantity=3.0, interruption="none")
    world = shop(
        stage(1, station=2),
        glue_up(2, after=(1,)),
        stage(3, "carving", job=2, attendance="within earshot", station=1, rule=(5, 1), quantity=85),
        replace(coats, id=4, job=2, needs=(Need(3),)),
        coats,
        glue_up(6, job=4),
        stage(7, "sanding", job=4, after=(6,), dusty=True, people=2),
        stage(8, job=5, station=2),
        stage(9, "rest", job=5, attendance="none", rule=(0, 1440), after=(8,)),
        stage(10, job=6),
    )
    book = Pencil()
    book.tap("8:00", "start", ANN, 6)
    book.tap("8:20", "closed", ANN, 6)
    book.tap("8:25", "start", ANN, 5)
    book.tap("8:50", "closed", ANN, 5, count=1.0)
    book.tap("8:55", "start", ANN, 1, 8)
    book.tap("9:00", "start", BEN, 3)
    book.tap("9:05", "pause", BEN, 3, goes_on=True)
    book.tap("9:06", "put-aside", BEN, 10, reason="lumber", look_again_on=date(2026, 3, 12))
    return laid_at(world, when, book)
