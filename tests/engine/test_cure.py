"""When marks open and end, by steady, rising and falling warmth, cold nights and tables."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.cure import HORIZON, curve_of, open_until, reckon, warmth
from shoptrack.engine.shapes import FAR, Calendar, Mark, Reading, Recipe, Room, RoomProfile, Week
from shoptrack.errors import BadInput

SHOP = Calendar("UTC", (Week(date(2020, 1, 1), (((time(8), time(16)),),) * 5 + ((), ())),))
CLOSED = datetime(2026, 1, 5, 15, tzinfo=UTC)  # a Monday
OFF = Mark("clamps off", "clamps off", 60, gates=True)
STRONG = Mark("full strength", "full strength", 1440)
GLUE = Recipe(1, "white glue", "glue", (OFF, STRONG), 20.0, 2.0)


def room(heated_c: float, unheated_c: float | None = None) -> Room:
    """A bench room heated from seven to five on working days, or steady."""
    night_c = heated_c if unheated_c is None else unheated_c
    profile = RoomProfile((heated_c,) * 12, (night_c,) * 12, time(7), time(17))
    return Room(1, "bench room", ((CLOSED, profile),))


def read(*values: tuple[float, float]) -> tuple[Reading, ...]:
    """Readings by minutes after closing."""
    return tuple(Reading(1, CLOSED + timedelta(minutes=m), c) for m, c in values)


def one_min(mark: Mark, where: Room, readings: tuple[Reading, ...] = (), **changes: object) -> float:
    """Minutes from closing to the opening of a recipe's only mark."""
    recipe = replace(GLUE, marks=(mark,), **changes)  # type: ignore[arg-type]
    from_at = reckon(recipe, where, readings, SHOP, CLOSED).marks[0].from_at
    assert from_at is not None
    return (from_at - CLOSED).total_seconds() / 60


@pytest.mark.parametrize("c", [-5.0, 5.0, 13.7, 20.0, 31.0])
def test_steady_warmth_is_minutes_over_speed(c: float) -> None:
    assert one_min(OFF, room(c)) == pytest.approx(60 / 2 ** ((c - 20) / 10), abs=1e-6)


def test_rising_warmth_is_the_integral() -> None:
    """10° to 22° in four hours. Age at minute t is 240/x·(e^(x·t/240) − 1)·2^(−1), x = 1.2·ln 2, by hand."""
    x = 1.2 * math.log(2)
    by_hand = 240 / x * math.log(1 + 60 * x / (240 * 0.5))
    assert one_min(OFF, room(20), read((0, 10.0), (240, 22.0))) == pytest.approx(by_hand, abs=1e-6)


def test_falling_warmth_equals_a_sum_of_small_steps() -> None:
    """24° down to 8° in four hours, a mark of three hours: summed second by second as a judge."""
    found = one_min(replace(OFF, from_min=180), room(20), read((0, 24.0), (240, 8.0)))
    age = sum(2 ** ((24 - 16 * (n + 0.5) / 14400 - 20) / 10) / 60 for n in range(round(found * 60)))
    assert age == pytest.approx(180, abs=0.02)


def test_night_is_reckoned_by_the_usual_profile() -> None:
    """Closed at 15:00: two hours at 20°, then the night at 10°, where an hour counts half."""
    assert one_min(replace(OFF, from_min=300), room(20, 10)) == pytest.approx(120 + 360)


def test_marks_have_their_own_factors() -> None:
    """Pot life doubles per ten degrees, film set trebles: at 10° two and three times as long."""
    set_mark = Mark("work", "film set", 60, q10=3.0)
    found = reckon(replace(GLUE, marks=(OFF, set_mark)), room(10), (), SHOP, CLOSED).marks
    assert [m.from_at for m in found] == [CLOSED + timedelta(minutes=120), CLOSED + timedelta(minutes=180)]


TABLE = ((10.0, 400.0), (20.0, 100.0), (30.0, 50.0))


@pytest.mark.parametrize(
    ("c", "minutes"),
    [
        (10, 400),
        (20, 100),
        (30, 50),
        (15, 200),  # halfway in log minutes between 400 and 100
        (25, math.sqrt(100 * 50)),
        (5, 800),  # colder than the table: goes on as steeply
        (40, 50),  # warmer: no faster
    ],
)
def test_table_of_minutes_is_straight_in_log_minutes(c: float, minutes: float) -> None:
    assert one_min(replace(OFF, from_min=100, points=TABLE), room(c)) == pytest.approx(minutes, abs=1e-6)


def test_table_bends_within_a_rise() -> None:
    """10° to 30° in four hours crosses a line of the table; a sum of small steps is the judge."""
    mark = replace(OFF, from_min=100, points=TABLE)
    found = one_min(mark, room(20), read((0, 10.0), (240, 30.0)))
    curve = curve_of(GLUE, mark)
    age = sum(math.exp(curve.ln_speed(10 + 20 * (n + 0.5) / 14400)) / 60 for n in range(round(found * 60)))
    assert age == pytest.approx(100, abs=0.02)


def test_table_without_an_opening_tells_the_end() -> None:
    wipe = Mark("wipe", "wipe off", None, 15, needs_hands=True, points=((10.0, 40.0), (20.0, 15.0)))
    mark = reckon(replace(GLUE, marks=(wipe,)), room(10), (), SHOP, CLOSED).marks[0]
    assert (mark.from_at, mark.until_at) == (None, CLOSED + timedelta(minutes=40))


def test_table_of_one_line_takes_the_factor_around_it() -> None:
    assert one_min(replace(OFF, points=((15.0, 80.0),)), room(5)) == pytest.approx(160)


def test_window_opens_and_ends_by_the_same_warmth() -> None:
    recoat = Mark("recoat", "recoat", 360, 1200)
    mark = reckon(replace(GLUE, marks=(recoat,)), room(10), (), SHOP, CLOSED).marks[0]
    assert (mark.from_at, mark.until_at) == (CLOSED + timedelta(hours=12), CLOSED + timedelta(hours=40))


def test_mark_of_nought_minutes_opens_at_once() -> None:
    assert one_min(replace(OFF, from_min=0), room(10)) == 0


def test_age_stands_still_below_the_lowest() -> None:
    """Closed at 15:00, 20° until 17:00, then 9° where 10° is the lowest: it goes on at seven."""
    slow = replace(GLUE, marks=(replace(OFF, from_min=180),), lowest_c=10.0, below="slows")
    cure = reckon(slow, room(20, 9), (), SHOP, CLOSED)
    assert cure.marks[0].from_at == datetime(2026, 1, 6, 8, tzinfo=UTC)
    assert cure.marks[0].slowed
    assert (cure.doubtful, cure.coldest_c) == (False, 9)


def test_at_the_lowest_itself_it_still_cures() -> None:
    cold = replace(GLUE, marks=(OFF,), lowest_c=10.0, below="spoils")
    cure = reckon(cold, room(10), (), SHOP, CLOSED)
    assert (cure.doubtful, cure.marks[0].slowed) == (False, False)
    assert cure.marks[0].from_at == CLOSED + timedelta(minutes=120)


def test_fall_through_the_lowest_stops_at_the_crossing() -> None:
    """From 20° to 0° in four hours the lowest, 10°, is crossed at 120 min; then it waits for the rise."""
    x = math.log(2)
    age_by_then = 120 / x * (1 - 0.5)
    readings = read((0, 20.0), (240, 0.0), (480, 20.0))
    recipe = replace(GLUE, lowest_c=10.0, marks=(replace(OFF, from_min=age_by_then + 1),))
    cure = reckon(recipe, room(20), readings, SHOP, CLOSED)
    assert cure.marks[0].from_at is not None
    # one minute of age from 10° on, rising: 120/x·(e^(x·t/120) − 1)/2 = 1
    expected = 360 + 120 / x * math.log(1 + 2 * x / 120)
    assert (cure.marks[0].from_at - CLOSED).total_seconds() / 60 == pytest.approx(expected, abs=1e-6)
    assert cure.coldest_c == 0


def test_cold_before_clamps_off_leaves_a_spoiling_glue_in_doubt() -> None:
    """A four-hour glue closed at 15:00 in a room of 20° that falls to 8° at 17:00, lowest 10°."""
    pva = replace(GLUE, marks=(replace(OFF, from_min=240), STRONG), lowest_c=10.0, below="spoils")
    cure = reckon(pva, room(20, 8), (), SHOP, CLOSED)
    assert (cure.doubtful, cure.coldest_c, cure.by) == (True, 8, "usual")


def test_cold_after_clamps_off_does_not() -> None:
    """The one-hour mark is past at 16:00; the cold night only slows full strength."""
    pva = replace(GLUE, lowest_c=10.0, below="spoils")
    cure = reckon(pva, room(20, 8), (), SHOP, CLOSED)
    assert (cure.doubtful, cure.coldest_c) == (False, 20)
    assert [m.slowed for m in cure.marks] == [False, True]


def test_cold_later_in_the_same_fall_does_not() -> None:
    """20° to 0° in four hours: the hour is full at minute 74, at 13.9°; 0° later spoils nothing."""
    pva = replace(GLUE, marks=(OFF,), lowest_c=10.0, below="spoils")
    cure = reckon(pva, room(20), read((0, 20.0), (240, 0.0)), SHOP, CLOSED)
    x = math.log(2)
    minutes = -120 / x * math.log(1 - 60 * x / 120)
    assert cure.coldest_c == pytest.approx(20 - minutes / 12, abs=1e-6)
    assert not cure.doubtful


def test_without_clamps_off_the_mark_that_is_waited_for_decides() -> None:
    """A finish, recoat after four hours, food after a week, in a room that is cold from 17:00."""
    recoat = Mark("recoat", "recoat", 240, gates=True)
    food = Mark("food contact", "food contact", 7 * 1440)
    finish = replace(GLUE, kind="finish", marks=(recoat, food), lowest_c=10.0, below="spoils")
    assert reckon(finish, room(20, 8), (), SHOP, CLOSED).doubtful
    quick = replace(finish, marks=(replace(recoat, from_min=60), food))
    assert not reckon(quick, room(20, 8), (), SHOP, CLOSED).doubtful
    assert reckon(quick, room(20, 8), (), SHOP, CLOSED).coldest_c == 8


def test_by_readings_only_where_they_reach() -> None:
    """Readings every two hours for six: the one-hour mark is by them, the day-long one is not."""
    cure = reckon(GLUE, room(20), read((-10, 20), (110, 20), (230, 20), (350, 20)), SHOP, CLOSED)
    assert [m.by for m in cure.marks] == ["read", "usual"]
    assert cure.by == "read"
    late = reckon(GLUE, room(20), read((30, 20), (110, 20)), SHOP, CLOSED)
    assert late.by == "usual"


def test_never_reached_within_the_horizon() -> None:
    frozen = replace(GLUE, lowest_c=10.0)
    cure = reckon(frozen, room(5), (), SHOP, CLOSED)
    assert [m.from_at for m in cure.marks] == [None, None]
    assert cure.gate_at() == FAR
    assert cure.marks[0].slowed
    last = replace(GLUE, marks=(replace(OFF, from_min=HORIZON.days * 1440),))
    assert reckon(last, room(20), (), SHOP, CLOSED).marks[0].from_at == CLOSED + HORIZON


def test_recipe_without_marks_gives_the_temperature_at_closing() -> None:
    cure = reckon(replace(GLUE, marks=()), room(17), (), SHOP, CLOSED)
    assert (cure.marks, cure.doubtful, cure.coldest_c, cure.gate_at()) == ((), False, 17, None)


@pytest.mark.parametrize("mark", [replace(OFF, q10=0.0), replace(OFF, points=((20.0, 0.0),))])
def test_impossible_factor_is_said_plainly(mark: Mark) -> None:
    with pytest.raises(BadInput, match="above zero"):
        reckon(replace(GLUE, marks=(mark,)), room(20), (), SHOP, CLOSED)


def test_open_time_is_shorter_where_it_is_warm() -> None:
    glue = replace(GLUE, open_min=10.0)
    assert open_until(glue, 30, CLOSED) == CLOSED + timedelta(minutes=5)
    assert open_until(glue, 10, CLOSED) == CLOSED + timedelta(minutes=20)
    assert open_until(GLUE, 20, CLOSED) is None


READINGS = st.lists(
    st.tuples(st.integers(-300, 3000), st.floats(2, 32)), max_size=10, unique_by=lambda value: value[0]
)
RECIPES = st.builds(
    lambda q10, lowest_c, minutes, points: replace(
        GLUE,
        q10=q10,
        lowest_c=lowest_c,
        marks=(replace(OFF, from_min=minutes), replace(STRONG, from_min=200, points=TABLE if points else ())),
    ),
    st.floats(1.1, 4),
    st.none() | st.floats(4, 12),
    st.floats(1, 4000),
    st.booleans(),
)


def opened(recipe: Recipe, where: Room, readings: tuple[Reading, ...]) -> list[float]:
    """Seconds after closing at which marks open; the horizon where they do not."""
    marks = reckon(recipe, where, readings, SHOP, CLOSED).marks
    return [((m.from_at or CLOSED + HORIZON) - CLOSED).total_seconds() for m in marks]


@settings(deadline=None, max_examples=60)
@given(RECIPES, READINGS, st.floats(0, 8))
def test_colder_is_never_sooner(recipe: Recipe, values: list[tuple[int, float]], colder_c: float) -> None:
    warm = opened(recipe, room(20, 9), read(*sorted(values)))
    cold = opened(
        recipe, room(20 - colder_c, 9 - colder_c), read(*((m, c - colder_c) for m, c in sorted(values)))
    )
    assert all(late >= soon - 1e-3 for late, soon in zip(cold, warm, strict=True))


@settings(deadline=None, max_examples=60)
@given(RECIPES, st.floats(2, 32), st.floats(2, 32), st.integers(1, 239))
def test_a_reading_on_the_line_between_two_changes_nothing(
    recipe: Recipe, start_c: float, end_c: float, at_min: int
) -> None:
    ends = ((0.0, start_c), (240.0, end_c))
    between = (float(at_min), start_c + (end_c - start_c) * at_min / 240)
    whole = opened(recipe, room(20, 9), read(*ends))
    split = opened(recipe, room(20, 9), read(ends[0], between, ends[1]))
    assert split == pytest.approx(whole, abs=0.01)


@settings(deadline=None, max_examples=40)
@given(RECIPES, READINGS)
def test_marks_of_more_minutes_open_later(recipe: Recipe, values: list[tuple[int, float]]) -> None:
    first = recipe.marks[0]
    assert first.from_min is not None
    longer = replace(recipe, marks=(first, replace(first, from_min=first.from_min * 1.5)))
    soon, late = opened(longer, room(20, 9), read(*sorted(values)))
    assert soon <= late


def test_warmth_is_asked_here_too() -> None:
    assert warmth(room(20), (), SHOP, CLOSED).c == 20
