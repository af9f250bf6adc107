"""A room's temperature from readings and from its usual heated and unheated hours."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.shapes import Calendar, OffDays, Reading, Room, RoomProfile, Week
from shoptrack.engine.warmth import pieces, warmth

WEEK = Week(date(2020, 1, 1), (((time(8), time(16)),),) * 5 + ((), ()))
SHOP = Calendar("UTC", (WEEK,), {}, (OffDays(None, date(2026, 1, 7), date(2026, 1, 7)),))
BY_MONTH = tuple(float(month) for month in range(1, 13))
LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
BENCH = Room(1, "bench room", ((LONG_AGO, RoomProfile((20.0,) * 12, BY_MONTH, time(7), time(17))),))


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """An instant of January 2026; the 5th is a Monday."""
    return datetime(2026, 1, day, hour, minute, tzinfo=UTC)


def read(*values: tuple[datetime, float]) -> tuple[Reading, ...]:
    return tuple(Reading(1, when, c) for when, c in values)


def test_usual_is_heated_on_working_days_only() -> None:
    """Heated seven to five on Monday; not on Sunday, and not on Wednesday the 7th, a day off."""
    assert [warmth(BENCH, (), SHOP, at(5, hour)).c for hour in (6, 7, 16, 17)] == [1, 20, 20, 1]
    assert warmth(BENCH, (), SHOP, at(4, 12)).c == 1
    assert warmth(BENCH, (), SHOP, at(7, 12)).c == 1
    assert warmth(BENCH, (), SHOP, datetime(2026, 3, 4, 20, tzinfo=UTC)).c == 3
    assert warmth(BENCH, (), SHOP, at(5, 12)).by == "usual"


def test_heating_past_midnight_belongs_to_the_evening_before() -> None:
    room = Room(1, "finish room", ((LONG_AGO, RoomProfile((20.0,) * 12, (5.0,) * 12, time(18), time(2))),))
    assert [warmth(room, (), SHOP, at(*when)).c for when in ((5, 19), (6, 1), (6, 2), (5, 1))] == [
        20,
        20,
        5,
        5,
    ]


def test_a_changed_profile_counts_from_its_instant() -> None:
    warmer = RoomProfile((25.0,) * 12, BY_MONTH, time(7), time(17))
    room = Room(1, "bench room", (*BENCH.profiles, (at(5, 10), warmer)))
    assert [warmth(room, (), SHOP, at(5, *when)).c for when in ((9, 59), (10, 0))] == [20, 25]


def test_between_readings_at_most_four_hours_apart_it_runs_straight() -> None:
    close = read((at(5, 8), 16.0), (at(5, 12), 20.0))
    assert warmth(BENCH, close, SHOP, at(5, 9)).c == pytest.approx(17)
    assert warmth(BENCH, close, SHOP, at(5, 9)).by == "between readings"
    assert warmth(BENCH, close, SHOP, at(5, 8)).by == "read"
    far = read((at(5, 8), 16.0), (at(5, 12, 1), 20.0))
    assert warmth(BENCH, far, SHOP, at(5, 9)).by == "usual, shifted"


def test_a_difference_fades_over_four_hours() -> None:
    """16° where 20° is usual: four degrees less, two after two hours, none after four."""
    cold = read((at(5, 8), 16.0))
    found = [warmth(BENCH, cold, SHOP, at(5, hour)) for hour in (8, 10, 12, 13)]
    assert [w.c for w in found] == pytest.approx([16, 18, 20, 20])
    assert [w.by for w in found] == ["read", "usual, shifted", "usual", "usual"]


def test_readings_at_closing_and_opening_do_not_hide_a_cold_night() -> None:
    """20° at closing and 18° at opening: at three in the morning it is the usual 1°, not 19°."""
    found = warmth(BENCH, read((at(5, 16), 20.0), (at(6, 8), 18.0)), SHOP, at(6, 3))
    assert (found.c, found.by) == (1, "usual")


def test_two_readings_of_one_instant_take_the_later() -> None:
    assert warmth(BENCH, read((at(5, 8), 16.0), (at(5, 8), 18.0)), SHOP, at(5, 8)).c == 18


def test_heated_hours_follow_the_wall_across_a_change_of_clocks() -> None:
    """New York: heating at seven is 12:00 UTC on Friday 6 March 2026 and 11:00 on Monday the 9th."""
    shop = Calendar("America/New_York", (WEEK,))
    found = [
        warmth(BENCH, (), shop, datetime(2026, 3, day, hour, 30, tzinfo=UTC)).c
        for day in (6, 9)
        for hour in (11, 12)
    ]
    assert found == [3, 20, 20, 20]


READINGS = st.lists(st.tuples(st.integers(0, 4000), st.floats(5, 30)), max_size=12, unique_by=lambda r: r[0])


@settings(deadline=None, max_examples=60)
@given(READINGS, st.integers(0, 3000), st.integers(1, 3000), st.floats(0, 0.999))
def test_pieces_cover_without_a_gap_and_agree_with_each_instant(
    values: list[tuple[int, float]], from_min: int, length_min: int, share: float
) -> None:
    readings = read(*((at(4, 0) + timedelta(minutes=m), c) for m, c in sorted(values)))
    start = at(4, 0) + timedelta(minutes=from_min)
    end = start + timedelta(minutes=length_min)
    found = list(pieces(BENCH, readings, SHOP, start, end))
    assert [p.end for p in found[:-1]] == [p.start for p in found[1:]]
    assert (found[0].start, found[-1].end) == (start, end)
    inside = start + (end - start) * share
    piece = next(p for p in found if p.start <= inside < p.end)
    straight = piece.start_c + (piece.end_c - piece.start_c) * (
        (inside - piece.start) / (piece.end - piece.start)
    )
    assert warmth(BENCH, readings, SHOP, inside).c == pytest.approx(straight, abs=1e-6)
