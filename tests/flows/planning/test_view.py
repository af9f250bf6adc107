"""The Plan screen's view: fourteen rows, nights, days off in words, dates at their day, empty shops."""

from datetime import date, time, timedelta

from shoptrack.engine.shapes import OffDays
from shoptrack.engine.shapes.planned import Missed, Plan
from shoptrack.flows.planning.dates import late_days
from shoptrack.flows.planning.plan import Planned, plan_now
from shoptrack.flows.planning.shown import reasons_of
from shoptrack.flows.planning.view import PlanView, left_of, missed_of, plan_view, rows_of
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.store.db import Store
from shoptrack.store.hours import say_day_off, say_week
from shoptrack.store.overtime import say_overtime
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at

TODAY = date(2026, 11, 25)


def look(joinery: Joinery) -> tuple[Sight, Planned]:
    sight = gather(joinery.store, NOW)
    return sight, plan_now(joinery.store, sight)


def shown(joinery: Joinery, first_on: date | None = None) -> PlanView:
    return plan_view(*look(joinery), first_on, reasons_of(joinery.store))


def test_a_row_a_day_from_today_on(joinery: Joinery, day: BusyDay) -> None:
    """Wednesday first; Saturday and Sunday have nobody; everybody in the order of the shop on each."""
    view = shown(joinery)
    assert [row.on for row in view.days] == [TODAY + timedelta(days=n) for n in range(14)]
    assert [row.works for row in view.days[:7]] == [True, True, True, False, False, True, True]
    assert {tuple(each.name for each in row.lanes) for row in view.days} == {("Una", "Piet")}
    assert [row.today for row in view.days[:2]] == [True, False]


def test_the_night_goes_from_closing_to_the_next_opening(joinery: Joinery, day: BusyDay) -> None:
    """That of Friday goes to Monday."""
    view = shown(joinery)
    friday = view.days[2].night
    assert friday is not None
    assert (friday.from_at, friday.to_at) == (at("17:00", 2), at("8:00", 5))
    assert view.days[3].night is None
    today = view.days[0].night
    assert today is not None
    assert "glue-up" in {cure.named.name for cure in today.cures}


def test_in_the_evening_the_day_and_its_night_are_still_there(joinery: Joinery, day: BusyDay) -> None:
    """At 20:00 everybody is home: the hours that were worked, and the night that has begun, until 8:00."""
    sight = gather(joinery.store, at("20:00"))
    row = plan_view(sight, plan_now(joinery.store, sight), None).days[0]
    assert (row.on, row.works) == (TODAY, True)
    assert {each.name: each.hours[-1][1] for each in row.lanes}["Una"] == at("17:00")
    assert not any(each.pieces for each in row.lanes)
    assert row.night is not None
    assert (row.night.from_at, row.night.to_at) == (at("17:00"), at("8:00", 1))


def test_a_date_is_at_its_day_and_a_late_job_at_the_day_it_is_ready(joinery: Joinery, day: BusyDay) -> None:
    """The trays are promised for Friday; the letter tray was for yesterday."""
    view = shown(joinery)
    friday = view.days[2].dues
    assert [(due.line.job, due.ready) for due in friday if not due.ready] == [(day.elm["job"], False)]
    ready = {due.line.job: row.on for row in view.days for due in row.dues if due.ready}
    letter = next(line for line in view.jobs if line.job == day.letter["job"])
    assert ready[day.letter["job"]] == letter.ready_on


def test_days_off_are_said_with_their_words(joinery: Joinery, day: BusyDay) -> None:
    """Thursday is a holiday of the shop; on Friday Piet is away."""
    with joinery.store.writing() as session:
        for on, person, reason in ((26, None, "Thanksgiving"), (27, PIET, "dentist")):
            off = date(2026, 11, on)
            say_day_off(session, first_on=off, last_on=off, person=person, reason=reason, who=UNA, now=NOW)
    thursday, friday = shown(joinery).days[1:3]
    assert (thursday.works, thursday.closed, thursday.night) == (False, "Thanksgiving", None)
    assert (friday.works, friday.away) == (True, (("Piet", "dentist"),))
    piet = next(each for each in friday.lanes if each.person == PIET)
    assert (piet.hours, piet.pieces) == ((), ())


def test_overtime_is_drawn_and_named(joinery: Joinery, day: BusyDay) -> None:
    """Una stays until seven on Thursday."""
    with joinery.store.writing() as session:
        say_overtime(session, on=date(2026, 11, 26), opens=time(17), closes=time(19), person=UNA,
                     reason="", who=UNA, now=NOW)  # fmt: skip
    thursday = shown(joinery).days[1]
    assert thursday.extra == ("Una",)
    assert thursday.lanes[0].hours[-1] == (at("12:30", 1), at("19:00", 1))
    assert thursday.night is not None
    assert thursday.night.from_at == at("19:00", 1)


def test_the_rows_can_begin_later_but_never_before_today(joinery: Joinery, day: BusyDay) -> None:
    assert shown(joinery, date(2026, 12, 7)).first_on == date(2026, 12, 7)
    assert shown(joinery, date(2020, 1, 1)).first_on == TODAY
    assert shown(joinery, date(2090, 1, 1)).first_on == TODAY + timedelta(days=365)


def test_what_is_not_planned_is_said_of_its_stage_without_its_tag_twice(
    joinery: Joinery, day: BusyDay
) -> None:
    """The larder's panel is in doubt: nothing after it is planned until somebody says."""
    (told,) = [n for n in shown(joinery).left if n.job == day.larder["job"]]
    assert told.stages == (day.larder["panel glue-up"],)
    assert "may not hold" in told.sentence
    assert not told.sentence.startswith(told.tag)


def test_a_wait_that_is_missed_without_a_sentence_gets_one(joinery: Joinery, day: BusyDay) -> None:
    sight, planned = look(joinery)
    placed = planned.plan.placed[0].task
    plan = Plan(
        planned.plan.placed, planned.plan.worth, planned.plan.ready, (), (Missed(placed, placed, 40),)
    )
    other = Planned(planned.laid, plan, NOW, 1, sight.head)
    (told,) = missed_of(sight, other)
    assert "comes 40 minutes too late after" in told.sentence


def test_the_sums_of_the_plan_and_of_the_simple_rule(joinery: Joinery, day: BusyDay) -> None:
    view = shown(joinery)
    assert view.late_days == late_days(view.jobs)
    assert view.rule_late_days >= view.late_days > 0
    assert {line.job for line in view.late} == {line.job for line in view.jobs if line.late}


def test_a_shop_without_a_job_has_days_with_nothing_on_them(joinery: Joinery) -> None:
    view = shown(joinery)
    assert view.jobs == ()
    assert view.last_on is None
    assert all(not each.pieces for row in view.days for each in row.lanes)
    assert [row.works for row in view.days[:4]] == [True, True, True, False]


def test_a_shop_without_hours_has_no_row_at_work(joinery: Joinery, day: BusyDay) -> None:
    """The week is emptied from today on."""
    with joinery.store.writing() as session:
        say_week(session, from_on=TODAY, days=((),) * 7, person=None, who=UNA, now=NOW)
    view = shown(joinery)
    assert not any(row.works for row in view.days)
    assert any("Nobody is at work" in told.sentence for told in view.left)


def test_a_shop_that_was_never_set_up_has_an_empty_plan(bare_store: Store) -> None:
    sight = gather(bare_store, NOW)
    view = plan_view(sight, plan_now(bare_store, sight), None)
    assert (view.jobs, view.people) == ((), ())
    assert not any(row.works for row in view.days)


def test_reasons_are_of_days_and_people(joinery: Joinery, day: BusyDay) -> None:
    """Said of a week: it holds on each of its days, and on no other."""
    week = OffDays(PIET, date(2026, 12, 7), date(2026, 12, 11))
    rows = rows_of(*look(joinery), date(2026, 12, 4), 8, ((week, "away"),))
    assert [row.on.day for row in rows if row.away] == [7, 8, 9, 10, 11]
    assert list(left_of(*look(joinery)))
