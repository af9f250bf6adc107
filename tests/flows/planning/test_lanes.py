"""Stretches of work by person and day: what is in hand, lunch cut out, what goes on, what is done."""

import itertools
from datetime import date, timedelta

from shoptrack.engine.days import minutes_in
from shoptrack.engine.shapes.planned import Order, Placed, Plan, Problem, Task, Worker, Worth
from shoptrack.flows.planning.lanes import Names, done_by, hours_by_day, is_past, lane, pieces_of, runs_of
from shoptrack.flows.planning.plan import Planned, plan_now
from shoptrack.flows.shopfloor import Sight, gather
from tests.flows.planning.by_hand import planned_by_hand
from tests.joinery import NOW, UNA, BusyDay, Joinery, at

TODAY = date(2026, 11, 25)


def look(joinery: Joinery) -> tuple[Sight, Planned, Names]:
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    return sight, planned, Names(sight, planned.laid, planned.plan)


def test_what_is_in_hand_comes_first_and_begins_now(joinery: Joinery, day: BusyDay) -> None:
    """Una is at the frame since 13:00."""
    sight, planned, names = look(joinery)
    found = pieces_of(sight, planned.laid, planned.plan, names)
    first = found[UNA, TODAY][0]
    assert (first.named.stage, first.named.in_hand, first.from_at) == (day.hall["frame"], True, NOW)


def test_nobody_is_at_two_stages_at_once_nor_outside_their_hours(joinery: Joinery, day: BusyDay) -> None:
    sight, planned, names = look(joinery)
    found = pieces_of(sight, planned.laid, planned.plan, names)
    hours = hours_by_day(sight, planned.laid, TODAY + timedelta(days=30))
    assert len(found) > 3
    for key, pieces in found.items():
        spans = [span for piece in pieces for span in piece.stretches]
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(spans))
        assert all(any(a <= s and e <= b for a, b in hours[key]) for s, e in spans)


def test_rounds_are_named_by_those_already_made(joinery: Joinery, day: BusyDay) -> None:
    """One coat of three is on; two rounds of the inlay are in the clamps, one is to come."""
    _sight, planned, names = look(joinery)
    parts = {(names.of(p.task).name, names.of(p.task).part) for p in planned.plan.placed
             if not is_past(planned.laid.problem.tasks[p.task])}  # fmt: skip
    assert {("oiling", "coat 2 of 3"), ("oiling", "coat 3 of 3"), ("inlay", "round 3 of 3")} <= parts
    assert ("frame", "") in parts


def test_a_piece_over_lunch_and_over_the_night_is_cut(joinery: Joinery, day: BusyDay) -> None:
    """Six hours from 10:00 on Thursday, with lunch, and an hour more than the day: the rest on Friday."""
    sight = gather(joinery.store, NOW)
    start = int((at("10:00", 1) - NOW).total_seconds() // 60)
    spans = tuple(
        (int((at(a, n) - NOW).total_seconds() // 60), int((at(b, n) - NOW).total_seconds() // 60))
        for n in (1, 2)
        for a, b in (("8:00", "12:00"), ("12:30", "17:00"))
    )
    end = int((at("9:00", 2) - NOW).total_seconds() // 60)
    task = Task(order=0, work=450, stage=day.hall["frame"])
    problem = Problem(
        (task,), (Order("B2", job=day.hall["job"]),), (Worker(UNA, "Una", spans, (1, 1, 2, 2)),)
    )
    plan = Plan((Placed(0, start, end, end, (0,)),), Worth(0, 0, end), (end,))
    laid = planned_by_hand(sight, problem, plan).laid
    found = pieces_of(sight, laid, plan, Names(sight, laid, plan))
    (thursday,), (friday,) = found[UNA, date(2026, 11, 26)], found[UNA, date(2026, 11, 27)]
    assert thursday.stretches == ((at("10:00", 1), at("12:00", 1)), (at("12:30", 1), at("17:00", 1)))
    assert (thursday.goes_on, thursday.from_before, thursday.minutes) == (True, False, 390)
    assert (friday.goes_on, friday.from_before, friday.minutes) == (False, True, 60)


def test_stages_done_together_are_one_piece_with_both_tags(joinery: Joinery) -> None:
    """Una mills for two trays at once."""
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None)
    joinery.tap("start", at("13:00"), one["milling"], two["milling"])
    sight, planned, names = look(joinery)
    first = pieces_of(sight, planned.laid, planned.plan, names)[UNA, TODAY][0]
    tags = {sight.world.jobs[job["job"]].tag for job in (one, two)}
    assert {first.named.tag, *first.together} == tags


def test_a_router_runs_by_itself_once_its_set_up_is_done(joinery: Joinery, day: BusyDay) -> None:
    """The well of the trays is carved by the router: set-up by hand, then somebody within earshot."""
    sight, planned, names = look(joinery)
    runs = [run for of in runs_of(sight, planned.laid, planned.plan, names).values() for run in of]
    assert {(run.named.name, run.named.station) for run in runs} == {("carving the well", "router")}
    assert all(run.from_at < run.to_at for run in runs)


def test_what_was_done_today_is_joined_by_job(joinery: Joinery, day: BusyDay) -> None:
    """Una milled for two jobs together from 8:05, glued at 12:32 and began the frame at 13:00."""
    sight = gather(joinery.store, NOW)
    spans = [(d.from_at, d.to_at) for d in done_by(sight, UNA, (at("0:00"), at("0:00", 1)))]
    assert spans[0][0] == at("8:05")
    assert spans[-1] == (at("13:00"), NOW)
    assert done_by(sight, UNA, (at("0:00", 5), at("0:00", 6))) == ()


def test_what_is_free_of_a_day_is_counted_from_now(joinery: Joinery, day: BusyDay) -> None:
    """13:24 to 17:00 with nothing given: 216 minutes."""
    sight, planned, _ = look(joinery)
    hours = hours_by_day(sight, planned.laid, TODAY)[UNA, TODAY]
    assert minutes_in(hours) == 510
    assert lane(UNA, "Una", hours, (), NOW).free_min == 216
