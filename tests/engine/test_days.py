"""Stretches of time cut at local midnights, also in the nights in which the clocks change."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.days import by_day, day_of, joined, less, minutes_in
from shoptrack.engine.shapes import Calendar

CHICAGO = Calendar("America/Chicago", ())
BERLIN = Calendar("Europe/Berlin", ())
instants = st.integers(0, 21 * 24 * 60).map(
    lambda m: datetime(2026, 10, 20, tzinfo=UTC) + timedelta(minutes=m)
)
spans = st.lists(st.tuples(instants, instants), max_size=6)


@pytest.mark.parametrize(
    ("calendar", "on", "hours"),
    [
        # second Sunday of March and first of November: Energy Policy Act of 2005, section 110
        (CHICAGO, date(2026, 3, 8), 23),
        (CHICAGO, date(2026, 11, 1), 25),
        # last Sundays of March and October: Directive 2000/84/EC, articles 2 and 3
        (BERLIN, date(2026, 3, 29), 23),
        (BERLIN, date(2026, 10, 25), 25),
        (BERLIN, date(2026, 10, 26), 24),
    ],
)
def test_a_day_is_as_long_as_it_was(calendar: Calendar, on: date, hours: int) -> None:
    start, end = day_of(calendar, on)
    assert end - start == timedelta(hours=hours)


def test_a_night_of_changing_clocks_is_cut_at_midnight_and_keeps_its_minutes() -> None:
    """A kiln watched from Saturday 22:00 to Sunday 6:00 while the clocks go back: nine hours, not eight."""
    zone = ZoneInfo("Europe/Berlin")
    start = datetime(2026, 10, 24, 22, tzinfo=zone).astimezone(UTC)
    end = datetime(2026, 10, 25, 6, tzinfo=zone).astimezone(UTC)
    days = by_day(BERLIN, [(start, end)])
    assert {on: minutes_in(own) / 60 for on, own in days.items()} == {
        date(2026, 10, 24): 2,
        date(2026, 10, 25): 7,
    }


@given(spans)
def test_nothing_is_lost_by_cutting_and_every_part_lies_in_its_day(
    found: list[tuple[datetime, datetime]],
) -> None:
    for calendar in (BERLIN, CHICAGO):
        days = by_day(calendar, joined(found))
        assert sum(map(minutes_in, days.values())) == pytest.approx(minutes_in(joined(found)))
        for on, own in days.items():
            start, end = day_of(calendar, on)
            assert all(start <= a < b <= end for a, b in own)


@given(spans, spans)
def test_less_and_its_rest_make_the_whole(
    found: list[tuple[datetime, datetime]], others: list[tuple[datetime, datetime]]
) -> None:
    rest = less(found, others)
    assert all(b <= c or d <= a for a, b in rest for c, d in joined(others))
    both = minutes_in(joined([*found, *others]))
    assert minutes_in(rest) + minutes_in(joined(others)) == pytest.approx(both)


def test_nothing_of_nothing() -> None:
    assert by_day(BERLIN, ()) == {}
    assert joined(()) == less((), ()) == ()
    assert minutes_in(()) == 0
