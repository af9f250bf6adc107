"""Working hours, lunch, days off and what of a stint counts."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine import hours
from shoptrack.engine.shapes import Calendar, OffDays, Overtime, Week
from shoptrack.errors import BadInput

DAY = ((time(8), time(12)), (time(12, 30), time(16, 30)))
WEEKDAYS = Week(date(2020, 1, 1), (DAY,) * 5 + ((), ()))
LATE = Week(date(2026, 1, 1), (((time(10), time(18)),),) * 5 + ((), ()))
NEW_YORK = ZoneInfo("America/New_York")
SHOP = Calendar(
    "America/New_York", (WEEKDAYS,), {2: (LATE,)}, (OffDays(None, date(2026, 7, 3), date(2026, 7, 3)),)
)
ZONES = (
    "America/New_York",
    "Europe/Berlin",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
    "Pacific/Auckland",
    "UTC",
)


def on_wall(day: int, hour: int, minute: int = 0, month: int = 6) -> datetime:
    """An instant of June 2026 (1 June is a Monday) by the shop's wall."""
    return datetime(2026, month, day, hour, minute, tzinfo=NEW_YORK).astimezone(UTC)


def minutes(found: hours.Spans) -> float:
    return sum((b - a).total_seconds() for a, b in found) / 60


def test_day_has_its_lunch_taken_out() -> None:
    assert hours.day_spans(SHOP, None, date(2026, 6, 1)) == (
        (on_wall(1, 8), on_wall(1, 12)),
        (on_wall(1, 12, 30), on_wall(1, 16, 30)),
    )
    assert hours.open_day(SHOP, date(2026, 6, 1)) == (on_wall(1, 8), on_wall(1, 16, 30))
    assert hours.open_day(SHOP, date(2026, 6, 6)) is None


def test_spans_are_clipped_and_the_end_is_left_out() -> None:
    assert hours.spans(SHOP, 1, on_wall(1, 11), on_wall(1, 13)) == (
        (on_wall(1, 11), on_wall(1, 12)),
        (on_wall(1, 12, 30), on_wall(1, 13)),
    )
    assert hours.spans(SHOP, 1, on_wall(1, 16, 30), on_wall(2, 8)) == ()
    assert hours.spans(SHOP, 1, on_wall(1, 10), on_wall(1, 9)) == ()
    assert hours.worked_min(SHOP, 1, on_wall(5, 8), on_wall(8, 8, 10)) == 490
    assert hours.is_working(SHOP, 1, on_wall(1, 8))
    assert not hours.is_working(SHOP, 1, on_wall(1, 12))
    assert not hours.is_working(SHOP, 1, on_wall(1, 7, 59))


def test_own_week_and_days_off() -> None:
    """Person 2 works ten to six since January 2026; before that by the shop's week; 3 July nobody works."""
    assert hours.day_spans(SHOP, 2, date(2026, 6, 1)) == ((on_wall(1, 10), on_wall(1, 18)),)
    assert hours.worked_min(SHOP, 2, on_wall(1, 9), on_wall(1, 12)) == 120
    assert len(hours.day_spans(SHOP, 2, date(2025, 12, 31))) == 2
    assert hours.day_spans(SHOP, 2, date(2026, 7, 3)) == ()
    away = Calendar("UTC", (WEEKDAYS,), {}, (OffDays(1, date(2026, 6, 1), date(2026, 6, 5)),))
    assert [bool(hours.day_spans(away, who, date(2026, 6, 5))) for who in (None, 1, 2)] == [True, False, True]
    assert hours.day_spans(away, 1, date(2026, 6, 8))


def test_newest_week_counts_from_its_date_and_the_first_before_it_too() -> None:
    short = Week(date(2026, 6, 3), (((time(9), time(10)),),) * 7)
    shop = Calendar("UTC", (WEEKDAYS, short))
    lengths = [
        minutes(hours.day_spans(shop, None, date(y, 6, d))) for y, d in ((2019, 3), (2026, 2), (2026, 3))
    ]
    assert lengths == [480, 480, 60]
    assert hours.day_spans(Calendar("UTC", ()), None, date(2026, 6, 1)) == ()


def test_night_span_belongs_to_the_day_it_starts_on() -> None:
    night = Calendar("UTC", (Week(date(2020, 1, 1), (((time(22), time(2)),),) * 7),))
    one = datetime(2026, 6, 2, 1, tzinfo=UTC)
    assert hours.is_working(night, None, one)
    assert hours.worked_min(night, None, one, one + timedelta(hours=24)) == 240


def test_next_opening_is_at_or_after_and_not_beyond_sixty_days() -> None:
    assert hours.next_opening(SHOP, 1, on_wall(1, 12)) == on_wall(1, 12, 30)
    assert hours.next_opening(SHOP, 1, on_wall(1, 8)) == on_wall(1, 8)
    assert hours.next_opening(SHOP, 1, on_wall(5, 17)) == on_wall(8, 8)
    shut = Calendar("UTC", (WEEKDAYS,), {}, (OffDays(None, date(2026, 6, 1), date(2026, 12, 31)),))
    assert hours.next_opening(shut, None, datetime(2026, 6, 1, tzinfo=UTC)) is None


def test_skipped_wall_time_moves_forward_and_a_doubled_one_is_the_first() -> None:
    assert hours.instant(SHOP, date(2026, 3, 8), time(2, 30)) == datetime(2026, 3, 8, 7, tzinfo=UTC)
    assert hours.instant(SHOP, date(2026, 11, 1), time(1, 30)) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)
    assert hours.local(SHOP, datetime(2026, 3, 8, 7, tzinfo=UTC)).hour == 3


@pytest.mark.parametrize("name", ["Nowhere/Atall", "", "../etc/passwd", "\0"])
def test_unknown_zone_is_said_plainly(name: str) -> None:
    with pytest.raises(BadInput, match="no time zone"):
        hours.local(Calendar(name, ()), datetime(2026, 1, 1, tzinfo=UTC))


def test_stint_across_lunch_and_closing_counts_the_shops_hours() -> None:
    """From 11:00 to 9:00 the next day: one hour, four after lunch, one in the morning."""
    found = hours.counted(SHOP, 1, on_wall(1, 11), on_wall(2, 9))
    assert minutes(found) == 60 + 240 + 60
    assert minutes(hours.counted(SHOP, 1, on_wall(1, 11), on_wall(2, 9), through_lunch=True)) == 390


def test_worked_through_lunch_counts_only_the_part_within_the_stint() -> None:
    assert hours.counted(SHOP, 1, on_wall(1, 11), on_wall(1, 12, 10), through_lunch=True) == (
        (on_wall(1, 11), on_wall(1, 12, 10)),
    )


def test_worked_until_counts_past_closing() -> None:
    """Started at 16:00, tapped finish the next morning at 8:30, said "worked until 18:00"."""
    found = hours.counted(SHOP, 1, on_wall(1, 16), on_wall(2, 8, 30), until=on_wall(1, 18))
    assert found == ((on_wall(1, 16), on_wall(1, 18)), (on_wall(2, 8), on_wall(2, 8, 30)))
    within = hours.counted(SHOP, 1, on_wall(1, 14), on_wall(1, 16), until=on_wall(1, 18))
    assert within == ((on_wall(1, 14), on_wall(1, 16)),)
    second = hours.counted(SHOP, 1, on_wall(1, 16), on_wall(3, 8), until=on_wall(2, 19))
    assert minutes(second) == 30 + 480 + 150


@pytest.mark.parametrize(
    ("start", "end", "expected", "scenario"),
    [
        (on_wall(1, 6), on_wall(1, 7), 60, "before opening, done before opening"),
        (on_wall(1, 7), on_wall(1, 9), 120, "came in early"),
        (on_wall(1, 12, 10), on_wall(1, 13), 50, "began in the lunch break"),
        (on_wall(1, 18), on_wall(1, 20), 120, "an evening of its own"),
        (on_wall(1, 18), on_wall(2, 9), 60, "forgotten overnight: only the morning"),
        (on_wall(6, 9), on_wall(6, 12), 180, "a Saturday"),
        (on_wall(6, 9), on_wall(8, 9), 60, "a Saturday start, done on Monday"),
        (on_wall(1, 16, 30), on_wall(1, 17), 30, "on the stroke of closing"),
    ],
)
def test_start_outside_hours(start: datetime, end: datetime, expected: float, scenario: str) -> None:
    assert minutes(hours.counted(SHOP, 1, start, end)) == expected, scenario


def test_start_outside_hours_where_no_week_is_set_up_counts_whole() -> None:
    assert minutes(hours.counted(Calendar("UTC", ()), 1, on_wall(1, 7), on_wall(1, 9))) == 120


INSTANTS = st.integers(0, 395 * 24 * 60).map(
    lambda n: datetime(2025, 12, 1, tzinfo=UTC) + timedelta(minutes=n)
)
WALLS = st.lists(st.times().map(lambda t: t.replace(microsecond=0)), min_size=0, max_size=6, unique=True)


@st.composite
def calendars(draw: st.DrawFn) -> Calendar:
    days = []
    for _ in range(7):
        walls = sorted(draw(WALLS))
        days.append(tuple(zip(walls[::2], walls[1::2], strict=False)))
    return Calendar(draw(st.sampled_from(ZONES)), (Week(date(2020, 1, 1), tuple(days)),))


@settings(deadline=None, max_examples=60)
@given(calendars(), INSTANTS, st.integers(0, 5000), st.integers(0, 5000), st.booleans())
def test_counted_lies_within_the_stint_in_order(
    shop: Calendar, start: datetime, length: int, beyond: int, lunch: bool
) -> None:
    end = start + timedelta(minutes=length)
    found = hours.counted(shop, 1, start, end, lunch, start + timedelta(minutes=beyond))
    edges = [edge for span in found for edge in span]
    assert edges == sorted(set(edges))
    assert all(start <= edge <= end for edge in edges)
    assert minutes(found) >= hours.worked_min(shop, 1, start, end) - 1e-9


@settings(deadline=None, max_examples=60)
@given(calendars(), INSTANTS, st.integers(0, 5000), st.integers(0, 5000))
def test_worked_minutes_add_up(shop: Calendar, start: datetime, first: int, second: int) -> None:
    middle = start + timedelta(minutes=first)
    end = middle + timedelta(minutes=second)
    parts = hours.worked_min(shop, 1, start, middle) + hours.worked_min(shop, 1, middle, end)
    assert parts == pytest.approx(hours.worked_min(shop, 1, start, end), abs=1e-6)


def with_overtime(*extra: Overtime, off: tuple[OffDays, ...] = ()) -> Calendar:
    return Calendar(SHOP.zone, SHOP.shop, SHOP.people, (*SHOP.off, *off), extra)


def late(day: int, opens: int, closes: int, person: int | None = None, month: int = 6) -> Overtime:
    return Overtime(person, date(2026, month, day), time(opens), time(closes))


def test_overtime_is_joined_to_the_day() -> None:
    """Everybody from 16:00 to 18:00, which begins within the day; person 1 from 6:00 to 7:00 too."""
    calendar = with_overtime(late(1, 16, 18), late(1, 6, 7, person=1))
    shop = hours.day_spans(calendar, None, date(2026, 6, 1))
    assert shop == ((on_wall(1, 8), on_wall(1, 12)), (on_wall(1, 12, 30), on_wall(1, 18)))
    assert hours.day_spans(calendar, 1, date(2026, 6, 1)) == ((on_wall(1, 6), on_wall(1, 7)), *shop)
    assert hours.open_day(calendar, date(2026, 6, 1)) == (on_wall(1, 8), on_wall(1, 18))
    assert hours.worked_min(calendar, 1, on_wall(1, 0), on_wall(2, 0)) == 480 + 90 + 60
    assert hours.day_spans(calendar, 1, date(2026, 6, 2)) == hours.day_spans(SHOP, 1, date(2026, 6, 2))


def test_overtime_holds_on_days_without_work() -> None:
    """A Saturday, a day the shop is shut, and a person's own day off: each has its overtime alone."""
    calendar = with_overtime(late(6, 9, 12), late(3, 9, 11, month=7), late(8, 9, 10, person=1),
                             off=(OffDays(1, date(2026, 6, 8), date(2026, 6, 8)),))  # fmt: skip
    assert hours.day_spans(calendar, 1, date(2026, 6, 6)) == ((on_wall(6, 9), on_wall(6, 12)),)
    assert hours.day_spans(calendar, 1, date(2026, 7, 3)) == (
        (on_wall(3, 9, month=7), on_wall(3, 11, month=7)),
    )
    assert hours.day_spans(calendar, 1, date(2026, 6, 8)) == ((on_wall(8, 9), on_wall(8, 10)),)
    assert hours.next_opening(calendar, 1, on_wall(5, 17)) == on_wall(6, 9)


def test_everybodys_overtime_is_not_that_of_who_is_away() -> None:
    """Person 1 has the Saturday off; person 3 and the shop work it."""
    calendar = with_overtime(late(6, 9, 12), off=(OffDays(1, date(2026, 6, 5), date(2026, 6, 7)),))
    assert hours.day_spans(calendar, 1, date(2026, 6, 6)) == ()
    assert minutes(hours.day_spans(calendar, 3, date(2026, 6, 6))) == 180
    assert minutes(hours.day_spans(calendar, None, date(2026, 6, 6))) == 180


@pytest.mark.parametrize(
    ("on", "real_min"),
    [(date(2026, 3, 8), 180), (date(2026, 11, 1), 300), (date(2026, 3, 15), 240)],
)
def test_overtime_through_a_change_of_clocks_counts_real_minutes(on: date, real_min: int) -> None:
    """From 0:00 to 4:00 on the wall: three hours where an hour is skipped, five where one comes twice."""
    calendar = with_overtime(Overtime(1, on, time(0), time(4)))
    assert minutes(hours.day_spans(calendar, 1, on)) == real_min
    assert hours.day_spans(calendar, 2, on) == ()


def test_a_stint_into_overtime_counts() -> None:
    """From 15:00 to 18:30, overtime until 18:00: without it 90 minutes, with it 180."""
    start, end = on_wall(1, 15), on_wall(1, 18, 30)
    assert minutes(hours.counted(SHOP, 1, start, end)) == 90
    assert minutes(hours.counted(with_overtime(late(1, 16, 18)), 1, start, end)) == 180
    assert minutes(hours.counted(with_overtime(late(1, 16, 18, person=2)), 1, start, end)) == 90
