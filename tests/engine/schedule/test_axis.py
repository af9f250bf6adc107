"""Working minutes with their pauses."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.schedule.axis import Axis, Hours, anybody, axis_of, hours_of, in_common
from shoptrack.engine.shapes.planned import Worker
from tests.engine.schedule.hands import CLOSING, DAY, LUNCH_OVER, worker

ONE = axis_of(worker(0, days=3))


def test_work_goes_over_lunch_and_night_where_it_may() -> None:
    """Five hours from eight end at half past one; seven from ten end at half past eight the next day."""
    assert ONE.end_of(0, 300, "any") == 330
    assert ONE.end_of(0, 300, "lunch") == 330
    assert ONE.end_of(0, 300, "none") is None
    assert ONE.end_of(120, 390, "any") == DAY + 30
    assert ONE.end_of(120, 390, "lunch") is None
    assert ONE.end_of(120, 360, "lunch") == CLOSING


def test_work_begins_only_at_work() -> None:
    assert ONE.end_of(240, 10, "any") is None
    assert ONE.end_of(-5, 10, "any") is None
    assert ONE.end_of(3 * DAY, 10, "any") is None
    assert ONE.end_of(0, 0, "none") == 0


def test_earliest_looks_for_a_stretch_that_is_long_enough() -> None:
    assert ONE.earliest(230, 30, "none") == (LUNCH_OVER, LUNCH_OVER + 30)
    assert ONE.earliest(230, 30, "any") == (230, LUNCH_OVER + 20)
    assert ONE.earliest(300, 300, "lunch") == (DAY, DAY + 330)
    assert ONE.earliest(0, 241, "none") is None
    assert ONE.earliest(2 * DAY, 481, "any") is None


def test_next_and_worked() -> None:
    assert ONE.next(240) == LUNCH_OVER
    assert ONE.next(2 * DAY + CLOSING) is None
    assert ONE.worked(-100, 3 * DAY) == 3 * 480
    assert ONE.worked(200, 300) == 40 + 30
    assert (ONE.longest, ONE.longest_day) == (240, 480)
    assert ONE.stretch_after(10) == LUNCH_OVER
    assert ONE.stretch_after(2 * DAY + 400) is None
    assert ONE.day_at(250) == 0


def test_a_crew_meets_and_a_shop_joins() -> None:
    """One works mornings, the other from ten on: they meet for two hours, and the shop has a short lunch."""
    early = Worker(1, "early", ((0, 240),), (0,))
    late = Worker(2, "late", ((120, 250), (300, 500)), (0, 0))
    assert in_common((early, late)).earliest(0, 120, "none") == (120, 240)
    assert in_common((early, late)).earliest(0, 121, "any") is None
    assert anybody((early, late)).earliest(0, 260, "any") == (0, 310)
    assert in_common(()).next(0) is None
    assert anybody(()).next(0) is None


@given(
    st.lists(st.tuples(st.integers(1, 90), st.integers(1, 50)), min_size=1, max_size=8),
    st.integers(0, 400),
    st.integers(0, 200),
)
def test_an_end_is_where_counting_minute_by_minute_comes_to(
    gaps: list[tuple[int, int]], start: int, work: int
) -> None:
    spans, minute = [], 0
    for length, gap in gaps:
        spans.append((minute, minute + length))
        minute += length + gap
    axis = Axis(tuple(spans), tuple(n // 2 for n in range(len(spans))))
    minutes = [m for a, b in spans for m in range(a, b)]
    coming = [m for m in minutes if m >= start]
    expected = None
    if start in minutes and len(coming) >= work:
        expected = coming[work - 1] + 1 if work else start
    assert axis.end_of(start, work, "any") == expected
    assert axis.worked(start, start + work) == sum(start <= m < start + work for m in minutes)


def test_people_with_the_same_hours_share_what_was_worked_out() -> None:
    """Two every day, one not on the second: both alike are as one, the third takes a day from any crew."""
    people = (worker(0, days=3), worker(1, days=3), worker(2, days=3, free=(1,)))
    hours = Hours(people)
    assert hours.of((0,)) is hours.of((1,)) is hours.of((0, 1))
    assert hours.of((0, 2)) is hours.of((1, 2))
    assert hours.of((0, 2)).next(CLOSING) == 2 * DAY
    assert hours.anybody.next(CLOSING) == DAY
    assert hours_of(people) is hours_of(people)
