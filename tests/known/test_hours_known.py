"""Working hours across changes of clocks, held against the zone database minute by minute."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from shoptrack.engine import hours
from shoptrack.engine.shapes import Calendar, Week


def shop(zone: str, *walls: tuple[time, time]) -> Calendar:
    return Calendar(zone, (Week(date(2000, 1, 1), (walls,) * 7),))


def minutes_by_database(zone: str, on: date, walls: tuple[tuple[time, time], ...]) -> int:
    """Minutes of a local day within wall spans, by asking the zone database for each minute of three days."""
    at = datetime(on.year, on.month, on.day, tzinfo=UTC) - timedelta(days=1)
    seen = (at + timedelta(minutes=n) for n in range(3 * 24 * 60))
    local = (instant.astimezone(ZoneInfo(zone)) for instant in seen)
    return sum(
        wall.date() == on and any(a <= wall.time() and (wall.time() < b or b == time(0)) for a, b in walls)
        for wall in local
    )


# Zone database (IANA tz, as shipped in tzdata and read by zoneinfo): each date has a change of clocks there.
CHANGES = [
    ("America/New_York", date(2026, 3, 8), 23),
    ("America/New_York", date(2026, 11, 1), 25),
    ("Europe/Berlin", date(2026, 3, 29), 23),
    ("Europe/Berlin", date(2026, 10, 25), 25),
    ("Pacific/Auckland", date(2026, 4, 5), 25),
    ("Pacific/Auckland", date(2026, 9, 27), 23),
    ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
    ("Australia/Lord_Howe", date(2026, 10, 4), 23.5),
    ("America/Sao_Paulo", date(2018, 11, 4), 23),  # midnight itself is skipped
    ("America/Sao_Paulo", date(2018, 2, 17), 25),  # the hour before midnight comes twice
    ("America/Havana", date(2024, 11, 3), 25),  # the hour after midnight comes twice
    ("Pacific/Apia", date(2011, 12, 30), 0),  # the day that was left out
    ("Asia/Kolkata", date(2026, 3, 29), 24),
]


@pytest.mark.parametrize(("zone", "on", "length_h"), CHANGES)
def test_whole_day_is_as_long_as_the_zone_database_says(zone: str, on: date, length_h: float) -> None:
    whole = (time(0), time(0))
    calendar = shop(zone, whole)
    found = sum((b - a).total_seconds() for a, b in hours.day_spans(calendar, None, on)) / 60
    assert found == minutes_by_database(zone, on, (whole,)) == length_h * 60


@pytest.mark.parametrize(("zone", "on"), [(zone, on) for zone, on, _ in CHANGES])
def test_day_shift_of_the_week_around_a_change(zone: str, on: date) -> None:
    walls = ((time(8), time(12)), (time(12, 30), time(16, 30)))
    calendar = shop(zone, *walls)
    for day in (on + timedelta(days=n) for n in range(-3, 4)):
        found = sum((b - a).total_seconds() for a, b in hours.day_spans(calendar, None, day)) / 60
        assert found == minutes_by_database(zone, day, walls)


@pytest.mark.parametrize(
    ("zone", "evening_on", "length_h"),
    [
        # Zone database: the night into each of the dates above.
        ("America/New_York", date(2026, 3, 7), 7),
        ("America/New_York", date(2026, 10, 31), 9),
        ("Europe/Berlin", date(2026, 3, 28), 7),
        ("Australia/Lord_Howe", date(2026, 4, 4), 8.5),
        ("Asia/Kolkata", date(2026, 3, 28), 8),
    ],
)
def test_night_shift_across_a_change_is_real_elapsed_hours(
    zone: str, evening_on: date, length_h: float
) -> None:
    calendar = shop(zone, (time(22), time(6)))
    ((start, end),) = hours.day_spans(calendar, None, evening_on)
    assert (end - start) == timedelta(hours=length_h)
    assert hours.worked_min(calendar, None, start, end) == length_h * 60


def test_span_that_opens_within_a_skipped_hour_opens_after_it() -> None:
    """New York, 8 March 2026: 2:00 to 3:00 is skipped (zone database); 2:30 to 4:00 is one hour."""
    calendar = shop("America/New_York", (time(2, 30), time(4)))
    assert (
        hours.worked_min(
            calendar, None, datetime(2026, 3, 8, tzinfo=UTC), datetime(2026, 3, 8, 12, tzinfo=UTC)
        )
        == 60
    )


def test_midnight_is_the_first_instant_of_the_local_day_everywhere() -> None:
    """A year of days in each zone: midnight falls on the day, and a second earlier does not."""
    for zone in sorted({zone for zone, _, _ in CHANGES} - {"Pacific/Apia"}):
        calendar = shop(zone, (time(8), time(16)))
        for n in range(365):
            on = date(2018, 1, 1) + timedelta(days=n)
            midnight = hours.instant(calendar, on, time(0))
            # zoneinfo itself is the judge: the zone database read by the standard library.
            assert midnight.astimezone(ZoneInfo(zone)).date() == on
            assert (midnight - timedelta(seconds=1)).astimezone(ZoneInfo(zone)).date() < on
