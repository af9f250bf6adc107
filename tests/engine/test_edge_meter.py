"""Two readings of a tool's hour meter say what truly ran between them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.edge_meter import BACKWARDS, TOO_MUCH, metered
from tests.engine.edges import A, B, Saw


def test_without_two_readings_nothing_is_changed() -> None:
    saw = Saw.fitted()
    saw.did(2, "meter", minutes=600)
    found = metered(saw.deeds, [0.0, 1.0, 3.0], [0.0, 2.0, 3.0])
    assert (found.run_h, found.effective_h, found.last, found.odd) == ((0, 1, 3), (0, 2, 3), 1.0, {})


def test_between_two_readings_hours_are_scaled_to_their_difference() -> None:
    """Four hours logged between 10.0 and 13.0 h: three ran, and from then on three quarters of the log."""
    saw = Saw.fitted()
    saw.did(1, "meter", minutes=600)
    saw.did(9, "meter", minutes=780)
    found = metered(saw.deeds, [0.0, 1.0, 4.0, 2.0], [0.0, 1.0, 8.0, 2.0])
    assert found.run_h == (0.0, 1.0, 3.0, 1.5)
    assert found.effective_h == (0.0, 1.0, 6.0, 1.5)
    assert found.last == 0.75


def test_a_swap_between_shares_the_difference_by_what_was_logged() -> None:
    saw = Saw.fitted()
    saw.did(1, "meter", minutes=0)
    saw.did(5, "fitted", B)
    saw.did(9, "meter", minutes=480)
    found = metered(saw.deeds, [0.0, 0.0, 1.0, 3.0, 0.0], [0.0] * 5)
    assert found.run_h == (0.0, 0.0, 2.0, 6.0, 0.0)


def test_hours_that_nobody_logged_ran_all_the_same() -> None:
    """Six hours on the meter and none in the log, a swap after a quarter of the time: 1.5 and 4.5."""
    saw = Saw()
    saw.did(0, "meter", minutes=0)
    saw.did(3, "fitted", A)
    saw.did(12, "meter", minutes=360)
    found = metered(saw.deeds, [0.0] * 4, [0.0] * 4)
    assert found.run_h == found.effective_h == (0.0, 1.5, 4.5, 0.0)
    assert found.last == 1.0


@pytest.mark.parametrize(("logged", "believed"), [(0.5, 4.0), (1.0, 4.0), (2.0, 2.0), (4.0, 1.0)])
def test_after_the_last_reading_the_scale_is_clipped(logged: float, believed: float) -> None:
    """Four hours on the meter: between the readings all of them, after that at most four times the log."""
    saw = Saw()
    saw.did(0, "meter", minutes=0)
    saw.did(10, "meter", minutes=240)
    found = metered(saw.deeds, [0.0, logged, 1.0], [0.0, logged, 1.0])
    assert found.run_h[1] == pytest.approx(4.0)
    assert found.last == believed
    assert found.run_h[2] == believed


def test_a_meter_that_stood_still() -> None:
    """Two hours logged and none ran: none counts, and a quarter of what comes after."""
    saw = Saw()
    saw.did(0, "meter", minutes=60)
    saw.did(10, "meter", minutes=60)
    found = metered(saw.deeds, [0.0, 2.0, 2.0], [0.0, 2.0, 2.0])
    assert (found.run_h, found.last) == ((0.0, 0.0, 0.5), 0.25)


def test_a_meter_that_goes_back_is_a_new_one() -> None:
    """900, then 30 on a new meter, then 90: the hour since counts, and nothing before."""
    saw = Saw()
    saw.did(0, "meter", minutes=900)
    odd = saw.did(10, "meter", minutes=30)
    saw.did(20, "meter", minutes=90)
    found = metered(saw.deeds, [0.0, 2.0, 2.0, 1.0], [0.0, 2.0, 2.0, 1.0])
    assert found.run_h == (0.0, 2.0, 1.0, 0.5)
    assert found.odd == {odd: BACKWARDS}


def test_more_than_the_time_between_is_a_misreading() -> None:
    """Ten hours between, and eleven on the meter; 10.2 can be read with a meter of tenths."""
    saw = Saw()
    saw.did(0, "meter", minutes=0)
    odd = saw.did(10, "meter", minutes=660)
    found = metered(saw.deeds, [0.0, 2.0, 2.0], [0.0, 2.0, 2.0])
    assert (found.run_h, found.odd) == ((0.0, 2.0, 2.0), {odd: TOO_MUCH})
    fine = Saw()
    fine.did(0, "meter", minutes=0)
    fine.did(10, "meter", minutes=612)
    assert metered(fine.deeds, [0.0, 2.0, 2.0], [0.0, 2.0, 2.0]).odd == {}


def test_nothing_at_all() -> None:
    assert metered([], [3.0], [4.0]).run_h == (3.0,)


@given(st.lists(st.tuples(st.floats(0.1, 5), st.floats(0, 3)), min_size=1, max_size=10))
def test_from_the_first_reading_to_the_last_the_meter_is_right(steps: list[tuple[float, float]]) -> None:
    """Whatever was logged between: the hours between first and last reading are their difference."""
    saw, now, shown = Saw(), 0.0, 0.0
    saw.did(0, "meter", minutes=0)
    run = [0.0]
    for ran, logged in steps:
        now, shown = now + ran, shown + ran
        run.append(logged)
        saw.did(now, "meter", minutes=shown * 60)
    found = metered(saw.deeds, [*run, 0.0], [*run, 0.0])
    assert sum(found.run_h) == pytest.approx(shown)
    assert found.odd == {}
