"""What a stage says by its programs."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.gcode import read_program
from shoptrack.flows.programs.found import Found
from shoptrack.flows.programs.from_program import found_of_program, reading_of, tools_of, ways_of
from shoptrack.flows.programs.lay import hands_at, is_minutes, laid_by
from shoptrack.store.programs import Program, Reading, ToolUse
from shoptrack.store.routers import Router
from tests.flows.programs.shop import TWO_BITS


def kept(times: int = 1, tools: tuple[int | None, int | None] = (7, 8)) -> tuple[Program, Found]:
    program = read_program([TWO_BITS], ways_of(Router()))
    found = found_of_program(program, Router(), times)
    uses = tuple(
        ToolUse(use.number, use.label, use.cutting_min, use.cutting_mm, use.deepest_mm, tool)
        for use, tool in zip(tools_of(program), tools, strict=True)
    )
    reading: Reading = reading_of(found, "a.nc", "f", 1, [], uses)
    return Program(1, 1, None, datetime(2026, 1, 1, tzinfo=UTC), None, None, reading), found


TOTAL = 6.6


def test_shares_are_of_all_minutes_and_add_up_to_what_cuts() -> None:
    laid = laid_by([kept()], "cutting minutes")
    assert dict(laid.tools) == {7: pytest.approx(1 / TOTAL, abs=1e-4), 8: pytest.approx(3 / TOTAL, abs=1e-4)}
    assert laid.measure_min == TOTAL


def test_two_numbers_may_be_one_tool_and_one_may_be_nobodys() -> None:
    assert dict(laid_by([kept(tools=(7, 7))], "pieces").tools) == {7: pytest.approx(4 / TOTAL, abs=1e-4)}
    assert dict(laid_by([kept(tools=(None, 8))], "pieces").tools) == {8: pytest.approx(3 / TOTAL, abs=1e-4)}
    assert laid_by([kept()], "pieces").measure_min is None


@given(st.lists(st.integers(1, 20), min_size=1, max_size=4))
def test_however_often_they_are_run_shares_are_shares_and_hands_rise(times: list[int]) -> None:
    programs = [kept(n) for n in times]
    laid = laid_by(programs, "minutes")
    assert all(0 < share <= 1 for _, share in laid.tools)
    assert sum(share for _, share in laid.tools) == pytest.approx(4 / TOTAL, abs=1e-4)
    assert laid.measure_min == pytest.approx(sum(times) * TOTAL, abs=0.01)
    hands = hands_at(found for _, found in programs)
    assert list(hands) == sorted(set(hands))
    assert len(hands) == 2 * sum(times) - 1
    assert 0 < hands[0] <= hands[-1] < sum(times) * TOTAL


@pytest.mark.parametrize(
    ("unit", "is_so"),
    [
        ("cutting minutes", True),
        ("minutes of cutting", True),
        ("Min", True),
        ("pieces", False),
        ("miniatures", False),
    ],
)
def test_a_measure_in_minutes_is_known_by_its_word(unit: str, is_so: bool) -> None:
    assert is_minutes(unit) is is_so
