"""What is taken of a thing."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.schedule.profile import Profile
from shoptrack.engine.shapes.planned import Resource


def test_what_is_closed_is_taken() -> None:
    """Twenty clamps, lent away from 100 to 200."""
    clamps = Profile(Resource("clamps", 20, ((100, 200),)))
    assert clamps.busy_until(0, 100, 20) is None
    assert clamps.busy_until(0, 101, 1) == 200
    assert clamps.busy_until(200, 300, 20) is None


def test_a_gap_that_is_too_short_is_passed_over() -> None:
    """Taken from 10 to 20, 25 to 30 and 60 on: five minutes fit at 20, six at 30, 31 not before 90."""
    saw = Profile(Resource("saw", 1, ((10, 20), (25, 30), (60, 90))))
    found = [saw.busy_until(12, 15, 1, least) for least in (0, 5, 6, 30, 31)]
    assert found == [20, 20, 30, 30, 90]


def test_given_back_is_free_again_and_a_copy_keeps_its_own() -> None:
    clamps = Profile(Resource("clamps", 8))
    clamps.take(10, 20, 5)
    other = clamps.copy()
    clamps.take(10, 20, -5)
    assert clamps.busy_until(0, 30, 8) is None
    assert other.busy_until(0, 30, 4) == 20
    assert other.busy_until(0, 30, 3) is None


@given(
    st.lists(st.tuples(st.integers(0, 30), st.integers(0, 12), st.integers(1, 3)), max_size=8),
    st.integers(0, 40),
    st.integers(0, 12),
    st.integers(1, 4),
)
def test_it_says_what_counting_every_minute_says(
    taken: list[tuple[int, int, int]], start: int, length: int, amount: int
) -> None:
    profile = Profile(Resource("clamps", 4))
    for at, long, many in taken:
        profile.take(at, at + long, many)
    level = [sum(many for a, long, many in taken if a <= m < a + long) for m in range(60)]
    clash = [m for m in range(start, start + length) if level[m] + amount > 4]
    until = profile.busy_until(start, start + length, amount)
    assert (until is None) == (not clash)
    if until is not None:
        assert until > clash[-1]
        assert all(level[m] + amount > 4 for m in range(clash[-1], until))
        later = profile.busy_until(start, start + length, amount, length + 1)
        full = {m for m in range(60) if level[m] + amount > 4}
        free = (m for m in range(until, 61) if not full & set(range(m, m + length + 1)))
        assert later == next(free)
