"""In which counts a stage is done: coats, what the clamps hold, what has come of the stage before."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.shapes import ClampNeed, Stage
from shoptrack.flows.planning.resources import Things
from shoptrack.flows.planning.rounds import MOST_ROUNDS, Ready, cut, first_with, rounds_of, whole_units
from tests.engine.shop import LONG, OIL, PVA, SHORT, shop, stage
from tests.flows.planning.test_resources import things

SHOP: Things = things(shop(stage(1)))
COATS = stage(1, "finishing", recipe=OIL, rounds=True, quantity=3)


def inlay(*clamps: ClampNeed, rounds: bool = True) -> Stage:
    return stage(1, "inlay", recipe=PVA, rounds=rounds, quantity=20, clamps=clamps)


def test_coats_are_done_one_by_one() -> None:
    assert rounds_of(COATS, 3, SHOP) == [1, 1, 1]
    assert rounds_of(COATS, 1.5, SHOP) == [1, 0.5]


def test_what_has_no_rounds_is_done_at_once() -> None:
    """A coat that nobody counts, a glue-up with clamps for all of it, milling."""
    for each in (replace(COATS, rounds=False), inlay(ClampNeed(LONG, 4)), stage(1)):
        assert rounds_of(each, 3, SHOP) == [3]


def test_as_many_pieces_at_once_as_there_are_clamps() -> None:
    """Twenty inlays with a short clamp each, of which there are seven; the log says the same of four."""
    assert rounds_of(inlay(ClampNeed(SHORT, 1, per_piece=True)), 20, SHOP) == [7, 7, 6]
    assert rounds_of(inlay(ClampNeed(SHORT, 1, per_piece=True)), 4, SHOP) == [4]
    assert rounds_of(inlay(ClampNeed(SHORT, 2, per_piece=True), rounds=False), 5, SHOP) == [3, 2]


def test_a_round_is_no_longer_than_a_stretch_of_work() -> None:
    """Five and a bit fit, clamps or not; where not even one does, one by one."""
    one = inlay(ClampNeed(SHORT, 1, per_piece=True))
    assert rounds_of(one, 12, SHOP, 5.7) == [5, 5, 2]
    assert rounds_of(one, 2, SHOP, 0.3) == [1, 1]
    assert rounds_of(COATS, 2, SHOP, 0.3) == [1, 1]


def test_longer_clamps_stand_in_where_the_reach_has_none_of_its_own() -> None:
    """Ten short ones for each piece: with eight long ones there are fifteen, enough for one at a time."""
    assert rounds_of(inlay(ClampNeed(SHORT, 10, per_piece=True)), 2, SHOP) == [1, 1]


def test_two_needs_hold_no_more_than_there_is() -> None:
    """Seven short ones at most; with eight long ones held beside them, all seven are there still."""
    both = (ClampNeed(SHORT, 1, per_piece=True), ClampNeed(LONG, 8))
    assert rounds_of(inlay(*both), 20, SHOP)[0] == 7
    more = (ClampNeed(SHORT, 1, per_piece=True), ClampNeed(LONG, 1, per_piece=True), ClampNeed(SHORT, 5))
    assert rounds_of(inlay(*more), 20, SHOP)[0] == 5


def test_what_can_not_be_clamped_at_all_is_said_once() -> None:
    assert rounds_of(inlay(ClampNeed(LONG, 9, per_piece=True)), 20, SHOP) == [20]


@given(st.floats(0.1, 5000.0), st.integers(1, 9))
def test_rounds_add_up_to_what_is_left(left: float, each: int) -> None:
    for one in (COATS, inlay(ClampNeed(SHORT, each, per_piece=True))):
        counts = rounds_of(one, left, SHOP)
        assert sum(counts) == pytest.approx(left)
        assert min(counts) > 0
        assert len(counts) <= MOST_ROUNDS + 1


def test_a_round_ends_where_whole_units_have_come() -> None:
    """Twenty inlays in rounds of seven, four boxes: after seven one box, after fourteen two, then all."""
    supply = whole_units([Ready(7, piece=1), Ready(14, piece=2), Ready(20, piece=3)], 20, 4)
    assert [(r.until, r.piece) for r in supply] == [(1, 1), (2, 2), (4, 3)]
    assert cut([4], 0, [supply], 60) == [1, 1, 2]
    assert cut([3], 1, [supply], 60) == [1, 2]
    assert cut([2, 2], 0, [supply], 60) == [1, 1, 2]
    assert cut([4], 0, [supply], 2) == [4]
    assert cut([4], 0, [], 60) == [4]


def test_the_last_round_brings_all_that_is_left() -> None:
    """13.2 square feet of six trays: whole feet, and the rest with the last tray."""
    supply = whole_units([Ready(2, at=5), Ready(6, piece=3)], 6, 13.2)
    assert [r.until for r in supply] == [4, 13.2]
    assert first_with(supply, 4.0) == supply[0]
    assert first_with(supply, 4.1) == supply[1]
    assert first_with(supply, 99.0) == supply[1]
    assert first_with([], 1.0) is None
    assert whole_units([], 6, 13.2) == []
