"""Hours of a person's week: paid, on jobs, shop time, unknown and beyond; what was paid is accounted for."""

from datetime import date, datetime

import pytest

from shoptrack.flows.weeks import DayHours, WeekView, week_view
from shoptrack.store.db import Store
from shoptrack.store.hours import add_day_off
from shoptrack.store.jobs import close_job, job_row
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at

WED = date(2026, 11, 25)


def day_of(store: Store, on: date = WED, person: int = UNA, now: datetime = NOW) -> DayHours:
    view = week_view(store, on, now)
    week = next(p for p in view.people if p.person == person)
    return next(d for d in week.days if d.on == on)


def test_a_day_of_work_shop_time_and_what_nobody_knows(joinery: Joinery) -> None:
    """8:00 to 13:24, lunch from 12:00 to 12:30: 294 min paid so far, 60 milled, 30 swept, 204 unknown."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("start", at("10:00"), text="sweeping")
    joinery.tap("pause", at("10:30"))
    found = day_of(joinery.store)
    assert (found.paid_min, found.on_jobs_min, found.shop_min) == (510, 60, 30)
    assert (found.unknown_min, found.beyond_min) == (204, 0)
    assert [(s.what, s.shop) for s in found.stretches] == [(_tag(joinery, tray), False), ("sweeping", True)]


def _tag(joinery: Joinery, job: dict[str, int]) -> str:
    with joinery.store.reading() as session:
        return job_row(session, job["job"]).tag


def test_work_on_jobs_that_are_closed_and_done_together_counts_once(joinery: Joinery, day: BusyDay) -> None:
    """Two trays milled together from 8:05 to 9:20 are 75 minutes, also when both jobs are closed since."""
    before = day_of(joinery.store)
    with joinery.store.writing() as session:
        close_job(session, day.elm["job"], NOW)
        close_job(session, day.game["job"], NOW)
    after = day_of(joinery.store)
    assert after.on_jobs_min == pytest.approx(before.on_jobs_min)
    # milling 75, glue-up 23, the hall's frame 24 up to now
    assert after.on_jobs_min == pytest.approx(75 + 23 + 24)
    assert len(after.stretches) == 3


def test_worked_until_beyond_closing_and_said_next_week(joinery: Joinery) -> None:
    """Friday 16:00 to 19:00; on Monday Una says that it was until 18:30: 90 minutes beyond closing."""
    tray = joinery.add("tray", "tray", None)
    begun = joinery.tap("start", at("16:00", -5), tray["milling"])
    joinery.tap("pause", at("19:00", -5), tray["milling"])
    friday = date(2026, 11, 20)
    assert day_of(joinery.store, friday).beyond_min == 0
    joinery.tap(
        "answer",
        at("8:00"),
        of=begun,
        asks="closing",
        choice="worked-until",
        to_at=at("18:30", -5).isoformat(),
    )
    found = day_of(joinery.store, friday)
    assert (found.on_jobs_min, found.beyond_min) == (150, 90)
    assert found.paid_min == found.on_jobs_min + found.unknown_min - found.beyond_min


def test_a_day_off_is_not_paid_and_work_on_it_is_beyond(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        add_day_off(session, first_on=WED, last_on=WED, person=UNA)
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("pause", at("9:40"), tray["milling"])
    found = day_of(joinery.store)
    assert (found.paid_min, found.on_jobs_min, found.beyond_min, found.unknown_min) == (0, 40, 40, 0)
    assert day_of(joinery.store, person=PIET).paid_min == 510


def test_help_and_what_was_said_afterwards_are_the_helpers(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("help", at("9:30"), tray["milling"], helper=PIET, minutes=20)
    joinery.tap("pause", at("9:40"), tray["milling"])
    found = day_of(joinery.store, person=PIET)
    assert (found.on_jobs_min, found.beyond_min) == (20, 0)
    assert [(s.start, s.end) for s in found.stretches] == [(at("9:10"), at("9:30"))]


def test_the_night_in_which_the_clocks_go_back_is_cut_at_midnight(joinery: Joinery) -> None:
    """New York, 31 October 2026, 22:00, to 3:00 on the first of November: six hours, two and four.

    Source for the change: Energy Policy Act of 2005, section 110.
    """
    tray = joinery.add("tray", "tray", None)
    start, end = datetime.fromisoformat("2026-11-01T02:00Z"), datetime.fromisoformat("2026-11-01T08:00Z")
    joinery.tap("start", start, tray["milling"])
    joinery.tap("pause", end, tray["milling"])
    saturday = day_of(joinery.store, date(2026, 10, 31))
    sunday = day_of(joinery.store, date(2026, 11, 1))
    assert (saturday.on_jobs_min, sunday.on_jobs_min) == (120, 240)
    assert (saturday.beyond_min, sunday.beyond_min) == (120, 240)
    assert sunday.stretches[0].start == datetime.fromisoformat("2026-11-01T04:00Z")


def test_weeks_begin_on_monday_and_an_old_one_is_still_there(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00", -200), tray["milling"])
    joinery.tap("pause", at("9:30", -200), tray["milling"])
    view: WeekView = week_view(joinery.store, date(2026, 5, 9), NOW)
    assert view.monday == date(2026, 5, 4)
    assert not view.is_last
    assert view.people[0].total("on_jobs_min") == 30
    assert week_view(joinery.store, None, NOW).is_last


def test_nothing_to_come_is_unknown(joinery: Joinery) -> None:
    found = day_of(joinery.store, date(2026, 11, 27))
    assert (found.paid_min, found.unknown_min) == (510, 0)
