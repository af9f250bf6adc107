"""What would be if: a day off, overtime, somebody more, more clamps, a job first, a pin, put aside."""

from dataclasses import replace
from datetime import date, time

from shoptrack.engine.hours import day_spans
from shoptrack.engine.shapes import Overtime, Week, World
from shoptrack.flows.planning.changes import (
    DayOff,
    ExtraPerson,
    JobFirst,
    MoreClamps,
    PinStage,
    PutAside,
    with_changes,
)
from shoptrack.flows.planning.laid import FIRST, MUST_KEEP
from tests.engine.shop import ANN, BEN, CLEO, LONG, WEEK, Pencil, at, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, tasks, wall

TUE, WED, THU = (date(2026, 3, day) for day in (10, 11, 12))
WORLD = shop(stage(1, quantity=60), stage(2, "carving", job=2), glue_up(3, job=3))


def hours(world: World, person: int, on: date) -> float:
    return sum((b - a).total_seconds() / 3600 for a, b in day_spans(world.calendar, person, on))


def test_nothing_changed_is_the_same_world() -> None:
    assert with_changes(WORLD, ()) is WORLD


def test_a_day_off_of_one_or_of_all() -> None:
    one = with_changes(WORLD, [DayOff(ANN, WED)])
    assert [hours(one, p, WED) for p in (ANN, BEN)] == [0, 8.25]
    every = with_changes(WORLD, [DayOff(None, WED)])
    assert [hours(every, p, WED) for p in (ANN, BEN)] == [0, 0]
    assert hours(WORLD, ANN, WED) == 8.25


def test_overtime_ends_a_long_job_the_same_day() -> None:
    """Ten hours by one person from eight on: with Ann until seven in the evening it is done today."""
    world = replace(WORLD, people={ANN: WORLD.people[ANN]})
    late = Overtime(ANN, TUE, time(17), time(19))
    without, with_it = laid_at(world, "8:00"), laid_at(world, "8:00", None, late)
    assert placed(without, 1)[0].end > wall(without, "wed 8:00")
    assert placed(with_it, 1)[0].end == wall(with_it, "18:45")


def test_somebody_more_for_two_days_has_the_shop_s_hours() -> None:
    """From Wednesday to Thursday; the shop's week changes on Thursday."""
    short = Week(THU, (((time(8), time(12)),),) * 7)
    world = replace(WORLD, calendar=replace(WORLD.calendar, shop=(WEEK, short)))
    changed = with_changes(world, [ExtraPerson(WED, THU, "Dan"), ExtraPerson(THU, THU)])
    (dan, other) = sorted(set(changed.people) - set(world.people), reverse=True)
    assert changed.people[dan].name == "Dan"
    days = [date(2026, 3, day) for day in (10, 11, 12, 13)]
    assert [hours(changed, dan, on) for on in days] == [0, 8.25, 4, 0]
    assert [hours(changed, other, on) for on in days] == [0, 0, 4, 0]
    assert [hours(changed, ANN, on) for on in days] == [8.25, 8.25, 4, 4]
    laid = laid_at(world, "9:00", None, ExtraPerson(WED, THU))
    assert [w.name for w in laid.problem.workers] == ["Ann", "Ben", "Cleo", "somebody more"]
    planned(laid)


def test_somebody_more_in_a_shop_without_hours_has_none() -> None:
    bare = replace(WORLD, calendar=replace(WORLD.calendar, shop=()))
    changed = with_changes(bare, [ExtraPerson(WED, THU)])
    assert hours(changed, min(changed.people), WED) == 0


def test_more_clamps_are_more_of_every_shorter_reach() -> None:
    before, after = laid_at(WORLD, "9:00"), laid_at(WORLD, "9:00", None, MoreClamps(LONG, 4))
    assert [r.capacity for r in before.problem.resources[-2:]] == [15, 8]
    assert [r.capacity for r in after.problem.resources[-2:]] == [19, 12]
    assert with_changes(WORLD, [MoreClamps(99, 4)]) is WORLD


def test_a_job_that_comes_first_weighs_more_than_any_other() -> None:
    world = replace(WORLD, jobs={**WORLD.jobs, 2: replace(WORLD.jobs[2], must_keep=True)})
    laid = laid_at(world, "9:00", None, JobFirst(1), JobFirst(99))
    assert [order.weight for order in laid.problem.orders] == [FIRST, MUST_KEEP, 1]
    assert with_changes(world, [JobFirst(1)]).jobs[1].must_keep


def test_a_stage_pinned_to_a_day_and_a_person() -> None:
    laid = laid_at(WORLD, "9:00", None, PinStage(2, THU, CLEO))
    assert tasks(laid, 2)[0].able == frozenset({laid.worker_of[CLEO]})
    assert placed(laid, 2)[0].start == wall(laid, "thu 8:00")


def test_a_stage_or_a_job_put_aside() -> None:
    """A stage until Thursday, though it was begun; a job without a day, which is said."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 2)
    book.tap("8:10", "pause", ANN, 2)
    laid = laid_at(WORLD, "9:00", book, PutAside(2, 2, THU), PutAside(3))
    assert tasks(laid, 2)[0].earliest == wall(laid, "thu 8:00")
    assert laid.tasks_of.keys() == {1, 2}
    assert [(told.job, told.stage) for told in laid.untold] == [(3, None)]
    assert laid.start_at == at("9:00")
