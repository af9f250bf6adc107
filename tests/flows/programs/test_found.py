"""What is kept of a program goes into JSON and comes back the same."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.gcode import read_program
from shoptrack.engine.shapes.programs import Box, Doubt
from shoptrack.flows.programs.found import Before, Found, Halt, found_of, plain
from shoptrack.flows.programs.from_program import found_of_program, ways_of
from shoptrack.store.routers import Router
from tests.flows.programs.shop import TWO_BITS

numbers = st.floats(0, 1e6, allow_nan=False)
small = st.integers(0, 99)
maybe = st.none() | numbers
hands = st.none() | st.just((1.0, 2.0))
reaches = st.none() | st.tuples(numbers, numbers)
founds = st.builds(
    Found,
    router=st.builds(Router, rapid_mm_min=st.floats(1, 1e5), tool_change_s=numbers),
    times=st.integers(1, 1000),
    cutting_min=numbers,
    rapid_mm=numbers,
    dwell_s=numbers,
    changes=st.integers(0, 50),
    halts=st.lists(st.builds(Halt, st.just("stop"), st.integers(1, 9), st.integers(0, 9), st.booleans(),
                             numbers, numbers, numbers, st.integers(0, 9)), max_size=3).map(tuple),
    spindle_ran=st.booleans(),
    cuts=st.builds(Box, reaches, reaches, reaches),
    moves=st.builds(Box, reaches, reaches, reaches),
    units=st.lists(st.sampled_from(["mm", "inch"]), max_size=2).map(tuple),
    unit_assumed=st.booleans(),
    lines=st.integers(0, 10**7),
    doubts=st.lists(st.builds(Doubt, small, small, st.text(max_size=20)), max_size=3).map(tuple),
    feeds=st.dictionaries(small, st.tuples(maybe, maybe), max_size=3),
    within_mm=numbers,
    before=st.none() | st.builds(Before, st.just(((1, 0.5),)), numbers, hands, maybe),
)  # fmt: skip


@given(founds)
def test_what_is_kept_comes_back_the_same(found: Found) -> None:
    assert found_of(json.loads(json.dumps(plain(found)))) == found


def test_the_parts_of_a_run_by_hand() -> None:
    router = Router(rapid_mm_min=2000.0, tool_change_s=30.0)
    found = found_of_program(read_program([TWO_BITS], ways_of(router)), router, 1)
    parts = found.minutes
    assert (parts.cutting, parts.rapid, parts.dwell, parts.change) == (
        pytest.approx(4.0), pytest.approx(0.25), pytest.approx(0.5), pytest.approx(1.0),
    )  # fmt: skip
    assert parts.total == pytest.approx(5.75)
    assert found.hands_at_min == (0.0, pytest.approx(0.5 + 1 + 0.25))
    assert not found.unit_assumed
