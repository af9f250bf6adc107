"""What an hour on jobs costs: the working, the share that is typed or the log's, and its use as a rate."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shoptrack.errors import BadInput, ChangedMeanwhile
from shoptrack.flows.hour_cost import HourWorked, hour_view, use_as_rate, work_out
from shoptrack.flows.hours_on_jobs import LogHours
from shoptrack.store.hour_costs import YearSaid, say_year
from shoptrack.store.overtaken import newest_line
from shoptrack.store.rates import hands_rate, list_rates, set_rate
from tests.joinery import NOW, PIET, UNA, Joinery

TODAY = date(2026, 11, 25)
YEAR = YearSaid(6_240_000, 748_800, 1_000_000, 400_000, 1920.0, 7000)
NOTHING = LogHours(TODAY, TODAY)
HALF = LogHours(TODAY, TODAY, 100.0, 50.0, 50.0, 0.0)


def worked(year: YearSaid, log: LogHours = NOTHING) -> HourWorked:
    found = work_out(year, log)
    assert found is not None
    return found


def say(joinery: Joinery, year: YearSaid) -> None:
    with joinery.store.writing() as session:
        say_year(session, year, from_on=TODAY, who=UNA, now=NOW)


def use(joinery: Joinery, cents: int, from_on: date = TODAY, seen: int | None = None) -> bool:
    return use_as_rate(joinery.store, cents, from_on=from_on, today=TODAY, who=UNA, now=NOW, seen=seen)


def rate(joinery: Joinery, on: date = TODAY) -> int | None:
    with joinery.store.reading() as session:
        return hands_rate(list_rates(session), None, on)


def test_the_published_hour() -> None:
    """83,888 over 1,920 h is 43.69 an hour (published, read), and 62.42 where 70 % of them are on jobs."""
    found = worked(YEAR)
    assert (found.paid_cents, found.cents) == (4369, 6242)
    assert (found.on_jobs_h, found.other_h) == pytest.approx((1344, 576))
    assert found.typed


def test_the_share_of_the_log_where_none_is_typed() -> None:
    found = worked(replace(YEAR, on_jobs_bp=None), HALF)
    assert (found.on_jobs_bp, found.typed) == (5000, False)
    assert found.cents == 8738  # 83,888 / 960 = 87.383
    assert worked(YEAR, HALF).on_jobs_bp == 7000
    assert work_out(replace(YEAR, on_jobs_bp=None), NOTHING) is None


def test_nothing_said_and_a_log_with_too_little(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        view = hour_view(session, TODAY, NOW)
    assert (view.year, view.worked) == (None, None)
    say(joinery, replace(YEAR, on_jobs_bp=None))
    with joinery.store.reading() as session:
        view = hour_view(session, TODAY, NOW)
    assert view.year is not None
    assert view.worked is None


def test_it_becomes_the_rate_of_anybodys_hands_from_a_day_on(joinery: Joinery) -> None:
    """Una's own rate stays; sent twice it stands once."""
    say(joinery, YEAR)
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=7000, from_on=TODAY, who=None, now=NOW, person=UNA)
    later = TODAY + timedelta(days=7)
    assert use(joinery, 6242, later)
    assert not use(joinery, 6242, later)
    assert (rate(joinery), rate(joinery, later)) == (None, 6242)
    with joinery.store.reading() as session:
        rates = list_rates(session)
    assert (hands_rate(rates, UNA, later), hands_rate(rates, PIET, later)) == (7000, 6242)
    assert len(rates) == 2


def test_what_was_shown_must_be_what_it_costs(joinery: Joinery) -> None:
    say(joinery, YEAR)
    with pytest.raises(BadInput, match="comes out otherwise"):
        use(joinery, 6243)
    assert rate(joinery) is None


def test_another_rate_said_meanwhile_is_not_undone(joinery: Joinery) -> None:
    say(joinery, YEAR)
    with joinery.store.reading() as session:
        seen = newest_line(session)
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=9000, from_on=TODAY, who=PIET, now=NOW)
        set_rate(session, cents_per_h=1000, from_on=TODAY, who=PIET, now=NOW, station=1)
    with pytest.raises(ChangedMeanwhile, match=r"^Piet changed this"):
        use(joinery, 6242, seen=seen)
    assert rate(joinery) == 9000


def test_a_machines_rate_said_meanwhile_is_nothing_to_it(joinery: Joinery) -> None:
    say(joinery, YEAR)
    with joinery.store.reading() as session:
        seen = newest_line(session)
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=1000, from_on=TODAY, who=PIET, now=NOW, station=1)
    assert use(joinery, 6242, seen=seen)
