"""Holidays held against what the law says, and taken as days off once."""

from datetime import date, timedelta

import pytest

from shoptrack.errors import BadInput
from shoptrack.store.db import Store
from shoptrack.store.holidays import (
    add_holidays,
    check_place,
    countries,
    holidays_of,
    offered,
    parts,
)
from shoptrack.store.hours import days_off
from shoptrack.store.shop import add_day_off
from tests.store.conftest import NOW

MON, THU = 0, 3


def nth(year: int, month: int, weekday: int, n: int) -> date:
    """The nth such weekday of a month; the last one for −1."""
    first = date(year, month, 1)
    days = [first + timedelta(days=k) for k in range(31) if (first + timedelta(days=k)).month == month]
    return [day for day in days if day.weekday() == weekday][n - 1 if n > 0 else n]


def federal(year: int) -> set[date]:
    """The legal public holidays of the United States, by the words of the law.

    5 U.S.C. 6103(a) lists them; (b)(1) gives the Friday before for one on a Saturday, Executive Order 11582
    the Monday after for one on a Sunday.
    """
    named = {
        date(year, 1, 1),
        nth(year, 1, MON, 3),
        nth(year, 2, MON, 3),
        nth(year, 5, MON, -1),
        date(year, 6, 19),
        date(year, 7, 4),
        nth(year, 9, MON, 1),
        nth(year, 10, MON, 2),
        date(year, 11, 11),
        nth(year, 11, THU, 4),
        date(year, 12, 25),
    }
    moved = {day + timedelta(days={5: -1, 6: 1}[day.weekday()]) for day in named if day.weekday() > 4}
    next_new_year = date(year + 1, 1, 1)
    if next_new_year.weekday() == 5:
        moved.add(next_new_year - timedelta(days=1))
    return {day for day in named | moved if day.year == year}


# Easter Sundays, from a printed church calendar, from memory.
EASTER = {2025: date(2025, 4, 20), 2026: date(2026, 4, 5), 2027: date(2027, 3, 28)}


def austrian(year: int) -> set[date]:
    """The holidays of Austria by § 7 (2) of its Arbeitsruhegesetz: nine fixed days and four by Easter."""
    fixed = ((1, 1), (1, 6), (5, 1), (8, 15), (10, 26), (11, 1), (12, 8), (12, 25), (12, 26))
    moving = (1, 39, 50, 60)  # Easter Monday, Ascension, Whit Monday, Corpus Christi
    by_easter = {EASTER[year] + timedelta(days=days) for days in moving}
    return {date(year, month, day) for month, day in fixed} | by_easter


@pytest.mark.parametrize("year", [2025, 2026, 2027])
def test_federal_holidays_of_the_united_states(year: int) -> None:
    assert {h.on for h in holidays_of("US", [year])} == federal(year)


@pytest.mark.parametrize("year", [2025, 2026, 2027])
def test_holidays_of_austria(year: int) -> None:
    found = holidays_of("AT", [year])
    assert {h.on for h in found} == austrian(year)
    assert next(h.name for h in found if h.on == date(year, 12, 8)) == "Immaculate Conception"


def test_every_country_has_a_name_and_its_parts_are_its_own() -> None:
    named = dict(countries())
    assert named["US"] == "United States"
    assert named["AT"] == "Austria"
    assert len(set(named.values())) == len(named) > 100
    assert dict(parts("US"))["VT"] == "Vermont"
    assert parts("nowhere") == ()


def test_a_place_that_is_not_there_is_refused() -> None:
    assert check_place("AT", "9") == "AT-9"
    for country, part in (("", ""), ("<script>", ""), ("AT", "VT"), ("at", "")):
        with pytest.raises(BadInput, match="Choose"):
            check_place(country, part)


def test_chosen_days_become_days_off_once(store: Store) -> None:
    """Two presses of the same button, and a holiday within the shop's own summer closing."""
    chosen = {date(2026, 8, 15), date(2026, 10, 26), date(2026, 10, 27)}
    with store.writing() as session:
        add_day_off(session, first_on=date(2026, 8, 3), last_on=date(2026, 8, 21), reason="closed")
        for _ in range(2):
            add_holidays(session, "AT", [2026, 2027], chosen, who=None, now=NOW)
        assert [(row.first_on, row.reason) for row in reversed(days_off(session))] == [
            (date(2026, 8, 3), "closed"),
            (date(2026, 10, 26), "National Day"),
        ]
        off = {h.on: h.off for h in offered(session, "AT", [2026])}
    assert off[date(2026, 8, 15)]
    assert off[date(2026, 10, 26)]
    assert not off[date(2026, 12, 25)]
