from datetime import date, datetime

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.times_of_jobs import JobHours, job_hours
from shoptrack.store.jobs import close_job
from tests.joinery import NOW, Joinery, at, glued_last_week
from tests.times import bring_in, mill


def hours(joinery: Joinery, pattern: int | None = None, ever: bool = False, now: datetime = NOW) -> JobHours:
    with joinery.store.reading() as session:
        return job_hours(session, now, pattern, ever)


def close(joinery: Joinery, job: int, called_off_why: str | None = None) -> None:
    with joinery.store.writing() as session:
        close_job(session, job, NOW, called_off_why=called_off_why)


def test_nothing_done_yet(joinery: Joinery) -> None:
    mill(joinery, "not closed", 70, -3)
    found = hours(joinery)
    assert (found.kinds, found.orders, found.hands_min) == ((), 0, 0)
    assert found.since == date(2025, 11, 25)


def test_hours_by_kind_the_most_first(joinery: Joinery) -> None:
    """A tray milled in 35 and glued in 25 min, another milled in 60: milling has 95 of 120 min."""
    tray = glued_last_week(joinery, "a tray")
    close(joinery, tray["job"])
    close(joinery, mill(joinery, "another", 60, -3))
    found = hours(joinery)
    assert (found.orders, found.before, found.hands_min) == (2, 0, 120)
    assert [(k.name, k.hands_min, k.orders, k.each_min) for k in found.kinds] == [
        ("milling", 95, 2, 47.5),
        ("glue-up", 25, 1, 12.5),
    ]
    assert [k.share for k in found.kinds] == pytest.approx([95 / 120, 25 / 120])


def test_one_pattern(joinery: Joinery) -> None:
    close(joinery, mill(joinery, "a tray", 60, -3))
    assert hours(joinery, 1).orders == 1
    assert hours(joinery, 2).orders == 0
    with pytest.raises(NotFound):
        hours(joinery, 99)


def test_called_off_is_not_in_it(joinery: Joinery) -> None:
    close(joinery, mill(joinery, "a tray", 60, -3), "they moved away")
    assert hours(joinery).orders == 0


def test_older_than_a_year_only_where_all_is_asked(joinery: Joinery) -> None:
    bring_in(joinery, "milling", [30.0, 40.0], first=date(2024, 5, 1), job="old tray")
    bring_in(joinery, "glue-up", [50.0], first=date(2024, 5, 3), job="old tray")
    close(joinery, mill(joinery, "a tray", 60, -3))
    assert hours(joinery).orders == 1
    found = hours(joinery, ever=True)
    assert (found.orders, found.before, found.hands_min, found.since) == (2, 1, 180, None)
    assert {k.name: k.hands_min for k in found.kinds} == {"milling": 130, "glue-up": 50}


def test_a_year_before_the_twenty_ninth_of_february(joinery: Joinery) -> None:
    assert hours(joinery, now=at("12:00").replace(year=2028, month=2, day=29)).since == date(2027, 2, 28)
