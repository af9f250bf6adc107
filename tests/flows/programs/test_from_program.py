"""What is kept of a program that was just read, and the same by other settings of its router."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.gcode import read_program
from shoptrack.engine.shapes.programs import Stroke
from shoptrack.flows.programs.from_program import (
    found_of_program,
    path_of,
    reading_of,
    timed,
    tools_of,
    ways_of,
)
from shoptrack.store.routers import Router
from tests.flows.programs.shop import TWO_BITS

STOPS = TWO_BITS.replace(b"G1 X1200", b"M0\nG1 X600 F400\nG4 P10\nM1\nG1 X1200")
routers = st.builds(
    Router,
    dwell_unit=st.sampled_from(["seconds", "milliseconds"]),
    rapid_mm_min=st.floats(100, 50_000),
    tool_change_s=st.floats(0, 600),
)


@given(routers, routers)
def test_timed_anew_is_as_if_it_were_read_anew(was: Router, now: Router) -> None:
    """Distances and counts that are kept give the same minutes as reading the file by the new settings."""
    kept = found_of_program(read_program([STOPS], ways_of(was)), was, 1)
    anew = read_program([STOPS], ways_of(now))
    found = timed(kept, now)
    assert found.minutes.total == pytest.approx(anew.total_min)
    assert found.hands_at_min == pytest.approx(anew.hands_at_min)
    assert timed(found, was).minutes.total == pytest.approx(kept.minutes.total)


def test_what_is_kept_is_of_all_runs_the_tools_of_one() -> None:
    router = Router()
    program = read_program([TWO_BITS], ways_of(router))
    found = found_of_program(program, router, 4)
    reading = reading_of(found, "a.nc", "f" * 64, len(TWO_BITS), [], tools_of(program))
    assert reading.total_min == pytest.approx(4 * program.total_min)
    assert reading.cutting_min == pytest.approx(16.0)
    assert [use.cutting_min for use in reading.tools] == [pytest.approx(1.0), pytest.approx(3.0)]
    assert reading.tools[0].deepest_mm == pytest.approx(4.0)


def test_a_path_is_kept_as_runs_of_points() -> None:
    strokes = [
        Stroke(1, False, 0, 0, 10, 0),
        Stroke(1, False, 10, 0, 10, 5.004),
        Stroke(1, True, 10, 5.004, 20, 5),
        Stroke(2, False, 20, 5, 20, 5),
        Stroke(2, False, 30, 5, 31, 5),
    ]
    assert path_of(strokes) == [
        [1, False, [0, 0, 10, 0, 10, 5.0]],
        [1, True, [10, 5.0, 20, 5]],
        [2, False, [20, 5, 20, 5]],
        [2, False, [30, 5, 31, 5]],
    ]
    assert path_of([]) == []
