"""People's hours as minutes: from now on, over a change of clocks, past midnight, over ten years."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from shoptrack.engine.hours import day_spans
from shoptrack.engine.shapes import Calendar, OffDays, Overtime, Person, Week, World
from shoptrack.flows.planning.calendar import HORIZON_DAYS, Timeline, _year, timeline, workers_of
from tests.engine.shop import ANN, BEN, CALENDAR, CLEO, WEEK, at, shop, stage

ONE = World(CALENDAR, {ANN: Person(ANN, "Ann")}, {}, {})


def hours(world: World, when: datetime) -> tuple[tuple[int, int], ...]:
    return workers_of(world, timeline(world.calendar, when))[0].spans


def test_minutes_count_from_the_minute_that_now_is_in() -> None:
    """Half past nine and some seconds: two and a half hours until lunch, then the afternoon."""
    now = at("9:30") + timedelta(seconds=40)
    line = timeline(CALENDAR, now)
    assert line.start_at == at("9:30")
    found = workers_of(ONE, line)[0]
    assert found.spans[:3] == ((0, 150), (195, 450), (22 * 60 + 30, 26 * 60 + 30))
    assert found.days[:3] == (0, 0, 1)
    assert (found.person, found.name) == (ANN, "Ann")


def test_instants_and_minutes_turn_into_each_other() -> None:
    line = timeline(CALENDAR, at("9:30"))
    assert line.instant(line.floor(at("wed 8:00"))) == at("wed 8:00")
    odd = at("10:00") + timedelta(seconds=1)
    assert (line.floor(odd), line.ceil(odd), line.ceil(at("10:00"))) == (30, 31, 30)
    assert (line.floor(at("9:00")), line.ceil(at("9:00"))) == (-30, -30)


def test_the_night_of_changing_clocks_is_as_long_as_it_was() -> None:
    """On 8 March 2026 an hour is skipped: from Friday, four o'clock, to Monday, eight, it is 63 hours."""
    friday = at("16:00", on=date(2026, 3, 6))
    assert hours(ONE, friday)[:2] == ((0, 60), (63 * 60, 67 * 60))
    autumn = at("16:00", on=date(2026, 10, 30))
    assert hours(ONE, autumn)[1][0] == 65 * 60


def test_work_past_midnight_is_of_the_day_it_begins_on() -> None:
    """A late shift from ten to six; at one in the night the stretch that is under way is yesterday's."""
    late = Week(date(2020, 1, 1), (((time(22), time(6)),),) * 7)
    world = replace(ONE, calendar=Calendar("UTC", (late,)))
    found = workers_of(world, timeline(world.calendar, datetime(2026, 3, 10, 1, tzinfo=UTC)))[0]
    assert (found.spans[:2], found.days[:2]) == (((0, 300), (1260, 1740)), (-1, 0))


def test_stretches_that_touch_are_one() -> None:
    """Overtime from closing on, and a shift that ends at midnight before one that begins there."""
    more = Overtime(ANN, date(2026, 3, 10), time(17), time(19))
    world = replace(ONE, calendar=replace(CALENDAR, overtime=(more,)))
    assert hours(world, at("16:00"))[:2] == ((0, 180), (16 * 60, 20 * 60))
    round_the_clock = Week(date(2020, 1, 1), (((time(0), time(0)),),) * 7)
    world = replace(ONE, calendar=Calendar("UTC", (round_the_clock,)))
    found = workers_of(world, timeline(world.calendar, datetime(2026, 3, 10, 1, tzinfo=UTC)))[0]
    assert found.spans == ((0, HORIZON_DAYS * 24 * 60),)


def test_who_left_the_shop_is_no_worker_and_who_is_away_has_no_hours() -> None:
    people = {ANN: Person(ANN, "Ann"), BEN: Person(BEN, "Ben", retired=True), CLEO: Person(CLEO, "Cleo")}
    off = OffDays(CLEO, date(2026, 3, 1), date(2028, 1, 1))
    world = replace(ONE, people=people, calendar=replace(CALENDAR, off=(off,)))
    found = workers_of(world, timeline(world.calendar, at("9:00")))
    assert [w.person for w in found] == [ANN, CLEO]
    assert found[1].spans == ()


@pytest.mark.parametrize(
    ("promised_on", "closes"),
    [
        (date(2026, 3, 12), "thu 17:00"),
        (date(2026, 3, 14), "fri 17:00"),  # a Saturday
        (date(2026, 3, 9), "mon 17:00"),  # yesterday
    ],
)
def test_due_is_when_the_shop_closes_for_the_last_time_by_the_day(promised_on: date, closes: str) -> None:
    line = timeline(CALENDAR, at("9:00"))
    assert line.due(promised_on) == line.floor(at(closes))
    assert line.due(promised_on - timedelta(days=2), 2) == line.floor(at(closes))


def test_due_in_a_shop_that_never_opens_is_the_end_of_the_day() -> None:
    line = Timeline(Calendar("UTC", ()), datetime(2026, 3, 10, tzinfo=UTC))
    assert line.due(date(2026, 3, 10)) == 24 * 60
    assert (line.opens(date(2026, 3, 11)), line.closes(date(2026, 3, 11))) == (24 * 60, 48 * 60)


def test_the_next_middle_of_a_day_at_work() -> None:
    """Eight to five: half past twelve, tomorrow's once today's is past; where nobody works, now."""
    assert timeline(CALENDAR, at("9:00")).next_middle_at == at("12:30")
    assert timeline(CALENDAR, at("13:00")).next_middle_at == at("wed 12:30")
    assert timeline(CALENDAR, at("fri 13:00")).next_middle_at == at("nextmon 12:30")
    never = Timeline(Calendar("UTC", ()), at("9:00"))
    assert never.next_middle_at == at("9:00")


def test_ten_years_of_weeks_and_days_off() -> None:
    """A calendar with a new week each month for ten years, on any day in it: a year of it, day by day."""
    weeks = tuple(replace(WEEK, from_on=date(2020 + n // 12, n % 12 + 1, 1)) for n in range(120))
    off = tuple(OffDays(None, date(2020 + n, 12, 24), date(2021 + n, 1, 2)) for n in range(10))
    calendar = Calendar("America/Chicago", weeks, {}, off)
    world = replace(ONE, calendar=calendar)
    for year in range(2021, 2030):
        line = timeline(calendar, at("9:00", on=date(year, 7, 1)))
        found = workers_of(world, line)[0]
        assert list(found.spans) == sorted(found.spans)
        told = sum(b - a for a, b in found.spans)
        days = (line.today + timedelta(days=n) for n in range(HORIZON_DAYS + 1))
        spans = [(line.floor(a), line.floor(b)) for on in days for a, b in day_spans(calendar, ANN, on)]
        assert told == sum(min(b, line.horizon) - max(a, 0) for a, b in spans if b > 0 and a < line.horizon)


def test_a_calendar_read_again_is_not_worked_out_again() -> None:
    world = shop(stage(1))
    workers_of(world, timeline(world.calendar, at("9:00")))
    before = _year.cache_info().misses
    again = replace(world, calendar=replace(world.calendar, shop=(replace(WEEK),)))
    workers_of(again, timeline(again.calendar, at("10:00")))
    assert _year.cache_info().misses == before
