"""What a year costs: said from a day on, kept with its history, and refused where it makes no hour."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shoptrack.errors import BadInput
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.hour_costs import YearSaid, lines_about_hour_costs, list_years, say_year, year_on
from shoptrack.store.overtaken import newest_line, not_overtaken
from tests.store.conftest import NOW

MARCH, APRIL = date(2026, 3, 1), date(2026, 4, 1)
YEAR = YearSaid(6_240_000, 748_800, 1_000_000, 400_000, 1920.0, 7000)


def say(store: Store, year: YearSaid, from_on: date = MARCH) -> bool:
    with store.writing() as session:
        return say_year(session, year, from_on=from_on, who=None, now=NOW)


def on(store: Store, day: date) -> YearSaid | None:
    with store.reading() as session:
        return year_on(session, day)


def test_a_year_counts_from_its_day_and_not_before(store: Store) -> None:
    assert on(store, MARCH) is None
    assert say(store, YEAR)
    assert say(store, replace(YEAR, paid_h=1880.5, on_jobs_bp=None), APRIL)
    assert on(store, MARCH - timedelta(days=1)) is None
    assert on(store, MARCH) == YEAR
    assert on(store, APRIL) == replace(YEAR, paid_h=1880.5, on_jobs_bp=None)


def test_the_year_is_added_up() -> None:
    """62,400 + 7,488 + 10,000 + 4,000 = 83,888, the published sum of a burdened rate (read)."""
    assert YEAR.cents == 8_388_800


def test_said_twice_it_stands_once_and_its_share_may_go_back_to_the_log(store: Store) -> None:
    assert say(store, YEAR)
    assert not say(store, YEAR)
    assert say(store, replace(YEAR, on_jobs_bp=None))
    with store.reading() as session:
        (row,) = list_years(session)
        line = history(session, "hour_costs", row.id)[-1]
    assert (line.field, line.before, line.after) == ("on_jobs_bp", 7000, None)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"wages_cents": -1}, "wages"),
        ({"taxes_cents": -1}, "taxes"),
        ({"benefits_cents": -1}, "benefits"),
        ({"overhead_cents": -1}, "overhead"),
        ({"wages_cents": 0, "taxes_cents": 0, "benefits_cents": 0, "overhead_cents": 0}, "wages"),
        ({"paid_h": 0.0}, "paid_h"),
        ({"paid_h": 1.92}, "paid_h"),
        ({"paid_h": float("nan")}, "paid_h"),
        ({"paid_h": float("inf")}, "paid_h"),
        ({"on_jobs_bp": 0}, "on_jobs"),
        ({"on_jobs_bp": 10_001}, "on_jobs"),
    ],
)
def test_what_makes_no_hour_is_refused_by_field(store: Store, wrong: dict[str, int], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        say(store, replace(YEAR, **wrong))
    assert refused.value.field == field
    assert on(store, MARCH) is None


def test_another_change_of_the_year_is_seen(store: Store) -> None:
    with store.reading() as session:
        seen = newest_line(session)
    say(store, YEAR)
    with (
        pytest.raises(BadInput, match=r"Somebody changed this .*wages"),
        store.writing() as session,
        not_overtaken(session, lines_about_hour_costs(), seen),
    ):
        say_year(session, replace(YEAR, paid_h=1900.0), from_on=MARCH, who=None, now=NOW)
    assert on(store, MARCH) == YEAR
