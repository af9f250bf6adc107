"""The rows that months are reckoned from, and the log read for one stretch alone."""

from datetime import date, datetime, time, timedelta
from typing import Any

from shoptrack.store import months, overtime
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.extras import add_extra, approve
from shoptrack.store.hours import days_off, say_day_off, take_back
from shoptrack.store.jobs import close_job, job_row
from shoptrack.store.rates import set_rate
from shoptrack.store.shop import shop_row
from tests.store.making import NOW, furnish, order, put

DAY = timedelta(days=1)


def test_a_stretch_of_the_log_has_all_that_speaks_of_it(store: Store) -> None:
    """Inside: e3, struck long after by e6, that by e7. e1, another job's and before, is moved into it by e5;
    e2, of a job that nobody worked on then, and e4, after it, are not asked for.
    """
    with store.writing() as session:
        made = furnish(session)
        (one, (mill, *_)), (_, (other, *_)) = order(session, made), order(session, made, "another")
        put(session, 1, NOW - 9 * DAY, "note", stages=(other,), text="moved")
        put(session, 2, NOW - 8 * DAY, "note", stages=(other,), text="not this one")
        put(session, 3, NOW, "pause", stages=(mill,), person=made.ann)
        put(session, 4, NOW + 9 * DAY, "note", stages=(other,))
        put(session, 5, NOW + 10 * DAY, "retime", of="e1", to_at=NOW - timedelta(hours=1))
        put(session, 6, NOW + 20 * DAY, "strike", of="e3")
        put(session, 7, NOW + 21 * DAY, "strike", of="e6")
        ids = [e.id for e in months.log_of_stretch(session, (one,), NOW - DAY, NOW + DAY)]
        assert ids == ["e1", "e3", "e5", "e6", "e7"]
        assert months.log_of_stretch(session, (), NOW - 100 * DAY, NOW - 99 * DAY) == []


def test_a_stretch_has_what_was_open_when_it_began(store: Store) -> None:
    """Ann starts one job, then another nine days before; the first's start alone would seem to go on."""
    with store.writing() as session:
        made = furnish(session)
        (one, (mill, *_)), (two, (other, *_)) = order(session, made), order(session, made, "another")
        put(session, 1, NOW - 10 * DAY, "start", stages=(mill,), person=made.ann)
        put(session, 2, NOW - 9 * DAY, "start", stages=(other,), person=made.ann)
        put(session, 3, NOW - 8 * DAY, "closed", stages=(other,), person=made.ann)
        put(session, 4, NOW, "finish", stages=(mill,), person=made.ben)
        assert months.jobs_worked(session, NOW - DAY, NOW + DAY) == {one, two}
        ids = [e.id for e in months.log_of_stretch(session, (one,), NOW - DAY, NOW + DAY)]
        assert ids == ["e1", "e2", "e3", "e4"]


def test_jobs_are_worked_on_by_stage_or_as_a_whole(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (one, (mill, *_)), (two, (other, *_)) = order(session, made), order(session, made, "another")
        put(session, 1, NOW - 9 * DAY, "closed", stages=(mill,), person=made.ann)
        put(session, 2, NOW, "closed", stages=(other,), person=made.ann)
        put(session, 3, NOW, "note", job=one, text="whole job")
        assert months.jobs_worked(session, NOW - DAY, NOW + DAY) == {one, two}
        assert months.jobs_worked(session, NOW - 10 * DAY, NOW - 8 * DAY) == {one}
        assert months.jobs_worked(session, NOW - 99 * DAY, NOW - 98 * DAY) == set()


def test_late_entries_are_known_by_their_place(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        _, (mill, *_) = order(session, made)
        put(session, 1, NOW, "start", stages=(mill,), person=made.ann)
        place = months.newest_entry(session)
        put(session, 2, NOW + DAY, "retime", of="e1", to_at=NOW - DAY)
        assert months.entries_since(session, place) == [months.Late(NOW + DAY, NOW - DAY, "e1")]
        assert months.entries_named(session, {"e1"}) == [months.Late(NOW, None, None)]
        assert months.entries_named(session, set()) == []


def test_the_first_instant_is_the_first_job_or_tap(store: Store) -> None:
    with store.writing() as session:
        assert months.first_instant(session) is None
        assert months.newest_entry(session) == 0
        made = furnish(session)
        _, (mill, *_) = order(session, made)
        assert months.first_instant(session) == NOW
        put(session, 1, NOW - DAY, "start", stages=(mill,), person=made.ann)
        assert months.first_instant(session) == NOW - DAY


def test_what_was_sold_has_its_approved_extras(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, other = order(session, made)[0], order(session, made)[0]
        row = job_row(session, job)
        edit(session, row, None, NOW, price_cents=100, deposit_cents=30, deposit_on=NOW.date())
        for number, cents in ((1, 10), (2, 5)):
            add_extra(
                session, job, number=number, words="x", cents=cents, asked_on=NOW.date(), who=None, now=NOW
            )
        approve(session, job, 1, NOW.date(), "", None, NOW)
        assert months.jobs_sold(session) == [months.Sold(job, None, False, None, 110, 30, NOW.date())]
        assert [j.id for j in months.deposits_owed(session)] == [job]
        close_job(session, other, NOW, None, "moved")
        assert [s.called_off for s in months.jobs_sold(session)] == [False, True]
        edit(session, row, None, NOW, delivered_on=NOW.date())
        assert months.deposits_owed(session) == []


def test_rates_written_for_days_gone_by_are_noticed(store: Store) -> None:
    later = datetime(2026, 4, 1, tzinfo=NOW.tzinfo)
    with store.writing() as session:
        furnish(session)
        assert months.hours_changed_from(session, later) is None
        set_rate(session, cents_per_h=1, from_on=date(2025, 5, 1), who=None, now=later + DAY)
        assert months.hours_changed_from(session, later) == date(2025, 5, 1)


def test_days_off_taken_back_and_another_zone_change_past_months_too(store: Store) -> None:
    """A day off is taken back: no row says so any more, the history does. Then the zone moves."""
    said_at, later = NOW, NOW + DAY
    with store.writing() as session:
        furnish(session)
        on = date(2026, 2, 3)
        say_day_off(session, first_on=on, last_on=on, person=None, reason="snow", who=None, now=said_at)
        (row,) = days_off(session)
        assert months.hours_changed_from(session, later) is None
        take_back(session, row.id, None, later + DAY)
        assert months.hours_changed_from(session, later) == on
        edit(session, shop_row(session), None, later + DAY, zone="Pacific/Auckland")
        assert months.hours_changed_from(session, later) == date.min


def test_overtime_said_for_a_month_gone_by_or_taken_back_changes_it(store: Store) -> None:
    later, on = NOW + DAY, date(2026, 2, 7)
    said: dict[str, Any] = {"opens": time(8), "closes": time(12), "person": None, "reason": "", "who": None}
    with store.writing() as session:
        furnish(session)
        overtime.say_overtime(session, on=on, now=later + DAY, **said)
        assert months.hours_changed_from(session, later) == on
        assert months.hours_changed_from(session, later + 2 * DAY) is None
        overtime.take_back(session, 1, None, later + 3 * DAY)
        assert months.hours_changed_from(session, later + 2 * DAY) == on


def test_a_closed_month_is_kept(store: Store) -> None:
    with store.writing() as session:
        for first_on in (date(2026, 2, 1), date(2026, 1, 1)):
            months.add_month(session, first_on, {"figures": [["x", "y", "min", 3]]}, None, NOW)
    with store.reading() as session:
        assert [m.first_on.month for m in months.closed_months(session)] == [1, 2]
        assert months.closed_months(session)[0].figures == {"figures": [["x", "y", "min", 3]]}
        assert months.spent_by_day(session) == []
