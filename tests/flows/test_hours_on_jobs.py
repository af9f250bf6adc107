"""The share of paid hours that is on jobs: from the log, from closed months, and where neither tells it."""

from datetime import date, timedelta

import pytest

from shoptrack.flows import hours_on_jobs as hours_on_jobs_
from shoptrack.flows.hours_on_jobs import LogHours, hours_in_a_year, hours_on_jobs
from shoptrack.store.edits import edit
from shoptrack.store.months import add_month
from shoptrack.store.shop import add_day_off
from shoptrack.store.tables import PersonRow
from tests.joinery import NOW, PIET, UNA, Joinery, at

WEEKDAYS = [-n for n in range(16, 0, -1) if n not in (11, 10, 4, 3)]
"""From Monday 9 November 2026 to Tuesday 24, twelve days of 8.5 hours."""


def read(joinery: Joinery) -> LogHours:
    with joinery.store.reading() as session:
        return hours_on_jobs(session, NOW)


def twelve_days(joinery: Joinery, until: str) -> None:
    """Una mills from 8:00 until some hour, and sweeps from 12:30 to 14:30."""
    tray = joinery.add("tray", "tray", None)
    for n in WEEKDAYS:
        joinery.tap("start", at("8:00", n), tray["milling"])
        joinery.tap("pause", at(until, n), tray["milling"])
        joinery.tap("start", at("12:30", n), text="sweeping")
        joinery.tap("pause", at("14:30", n))


def test_twelve_days_of_the_log(joinery: Joinery) -> None:
    """Twelve days of 8.5 h: 4 h on jobs, 2 h of shop time, 2.5 h of which nobody knows; 48 of 102 h."""
    twelve_days(joinery, "12:00")
    log = read(joinery)
    assert (log.paid_h, log.on_jobs_h, log.shop_h) == pytest.approx((102, 48, 24))
    assert log.unknown_h == pytest.approx(30)
    assert log.on_jobs_bp == 4706
    assert (log.since_on, log.last_on) == (date(2026, 5, 29), date(2026, 11, 24))


def test_where_most_is_unknown_the_log_says_nothing(joinery: Joinery) -> None:
    """One hour a day on jobs and two of shop time: of 66 of 102 h nobody knows."""
    twelve_days(joinery, "9:00")
    log = read(joinery)
    assert (log.on_jobs_h, log.unknown_h) == pytest.approx((12, 66))
    assert not log.is_short
    assert not log.is_enough
    assert log.on_jobs_bp is None


def test_under_eighty_paid_hours_the_log_says_nothing(joinery: Joinery) -> None:
    """Begun on Monday last: two days are 17 paid hours, all of them on jobs."""
    tray = joinery.add("tray", "tray", None)
    for n in (-2, -1):
        joinery.tap("start", at("8:00", n), tray["milling"])
        joinery.tap("pause", at("17:00", n), tray["milling"])
    log = read(joinery)
    assert (log.paid_h, log.on_jobs_h, log.unknown_h) == pytest.approx((17, 17, 0))
    assert log.is_short
    assert log.on_jobs_bp is None


def test_whoever_left_and_days_off_are_not_paid(joinery: Joinery) -> None:
    """Both begin on a Tuesday; Piet leaves on the last day at noon, and a Monday is off for all."""
    joinery.tap("start", at("8:00", -15), person=PIET, text="phone")
    joinery.tap("pause", at("8:30", -15), person=PIET)
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:30", -15), tray["milling"])
    with joinery.store.writing() as session:
        edit(session, session.get_one(PersonRow, PIET), None, NOW, retired_at=at("12:00", -1))
        add_day_off(session, first_on=date(2026, 11, 16), last_on=date(2026, 11, 16), reason="closed")
    log = read(joinery)
    una_h = 8 + 10 * 8.5  # she taps at half past eight for the first time
    assert log.paid_h == pytest.approx(una_h + 10 * 8.5 + 4 - 2 * 8.5)


def test_nobody_ever_tapped(joinery: Joinery) -> None:
    log = read(joinery)
    assert (log.paid_h, log.on_jobs_h, log.shop_h, log.unknown_h) == (0, 0, 0, 0)
    assert log.on_jobs_bp is None


def test_closed_months_say_what_they_said_with_their_corrections(joinery: Joinery) -> None:
    """September and October, 22 weekdays each, 374 paid hours; October corrects September by ten hours.

    100 + 100 + 10 h on jobs, 20 + 20 of shop time: 210 of 374 h are 56.15 %; two minutes of nobody named
    are on jobs too.
    """
    joinery.tap("start", at("8:00", -86), text="jigs")
    joinery.tap("pause", at("8:05", -86))
    with joinery.store.writing() as session:
        for month, corrections in ((9, []), (10, [["2026-09-01", f"job_min:{UNA}", "Una", "min", 600]])):
            figures = [
                ["job_min:0", "nobody named", "min", 1],
                [f"job_min:{UNA}", "Una", "min", 6000],
                [f"shop_min:{UNA}", "Una", "min", 1200],
                ["job_min_all", "together", "min", 6001],
            ]
            kept = {"figures": figures, "corrections": corrections, "place": 0}
            add_month(session, date(2026, month, 1), kept, None, NOW)
    log = read(joinery)
    assert (log.since_on, log.last_on) == (date(2026, 9, 1), date(2026, 10, 31))
    assert log.paid_h == pytest.approx(374)
    assert log.on_jobs_h == pytest.approx(210 + 2 / 60)
    assert log.shop_h == pytest.approx(40)
    assert log.unknown_h == pytest.approx(374 - 210 - 40)
    assert log.on_jobs_bp == 5616


def test_months_of_long_ago_tell_nothing(joinery: Joinery) -> None:
    """January is closed and no month since: the log of the last 180 days is read."""
    twelve_days(joinery, "12:00")
    with joinery.store.writing() as session:
        figures = [[f"job_min:{UNA}", "Una", "min", 9000]]
        add_month(session, date(2026, 1, 1), {"figures": figures, "corrections": [], "place": 0}, None, NOW)
    assert read(joinery).on_jobs_h == pytest.approx(48)


def test_more_on_jobs_than_is_paid_is_all_of_it() -> None:
    """Unpaid evenings: 120 h on jobs of 100 paid ones."""
    log = LogHours(date(2026, 5, 1), date(2026, 10, 31), 100.0, 120.0)
    assert log.on_jobs_bp == 10_000


def test_the_coming_year_by_the_working_weeks(joinery: Joinery) -> None:
    """From Wednesday 13:24 on: 260 or 261 weekdays of 8.5 h for two, less a week that is off."""
    with joinery.store.reading() as session:
        whole = hours_in_a_year(session, NOW)
    assert 2 * 8.5 * 260 <= whole <= 2 * 8.5 * 262
    with joinery.store.writing() as session:
        add_day_off(session, first_on=date(2027, 3, 1), last_on=date(2027, 3, 5), reason="closed")
        edit(session, session.get_one(PersonRow, PIET), None, NOW, retired_at=NOW)
    with joinery.store.reading() as session:
        assert hours_in_a_year(session, NOW) == pytest.approx(whole / 2 - 5 * 8.5)
        assert hours_in_a_year(session, NOW + timedelta(days=4000)) > 2000


def test_of_a_busy_log_fewer_days_are_read(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the newest taps reach back less than half a year that is enough, but two weeks at least."""
    twelve_days(joinery, "16:00")
    whole = read(joinery)
    monkeypatch.setattr(hours_on_jobs_, "TAPS_BACK", 2)
    fewer = read(joinery)
    assert whole.last_on - whole.since_on == timedelta(days=179)
    assert fewer.last_on - fewer.since_on == timedelta(days=13)
    assert 0 < fewer.on_jobs_h <= whole.on_jobs_h
