"""Finished parts and the rough boards that are bought for them."""

from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.lumber import (
    M3_PER_BOARD_FOOT,
    QUARTERS,
    SOLD_IN_MM,
    Cut,
    Cutting,
    board_feet,
    quarters,
    rough_mm,
    to_buy,
)
from shoptrack.engine.units import parse_length
from shoptrack.errors import BadInput

IN = 25.4
USUAL = Cutting()
BARE = Cutting(planing_mm=0.0, kerf_mm=0.0, trim_mm=0.0)
SIZES = st.floats(1.0, 90.0)


@pytest.mark.parametrize(
    ("finished_in", "name"),
    [
        (0.5, "4/4"),
        (0.75, "4/4"),
        (13 / 16, "5/4"),
        (1.0, "5/4"),
        (1.25, "6/4"),
        (1.5, "8/4"),
        (1.75, "8/4"),
        (2.25, "10/4"),
        (2.75, "12/4"),
        (3.75, "16/4"),
    ],
)
def test_what_is_bought_for_a_finished_thickness(finished_in: float, name: str) -> None:
    """With a quarter of an inch for planing: ¾ in is bought as 4/4, 1¾ in as 8/4 (common practice, no
    source); 13/16 in comes out of 4/4 only where less is planed off.
    """
    assert quarters(rough_mm(finished_in * IN, USUAL)) == name


def test_a_shop_that_planes_less_gets_more_out_of_a_board() -> None:
    assert quarters(rough_mm(13 / 16 * IN, replace(USUAL, planing_mm=3 / 16 * IN))) == "4/4"


def test_a_part_and_its_planing_may_be_just_a_board() -> None:
    """Of all sixteenths that make up a board with what is planed off, none takes the next."""
    for fraction in range(1, 8):
        cutting = replace(USUAL, planing_mm=parse_length(f"{fraction}/16"))
        for number in QUARTERS:
            finished_mm = parse_length(f"{number * 4 - fraction}/16")
            assert quarters(rough_mm(finished_mm, cutting)) == f"{number}/4"


def test_boards_sold_in_millimetres() -> None:
    metric = Cutting(planing_mm=6.0, sold_mm=SOLD_IN_MM)
    assert [rough_mm(t, metric) for t in (20.0, 20.5, 46.0)] == [26.0, 33.0, 52.0]


def test_no_board_is_thick_enough() -> None:
    """A 4-inch leg is glued up, and the sentence says so."""
    with pytest.raises(BadInput, match="glue it up") as wrong:
        rough_mm(4.0 * IN, USUAL)
    assert wrong.value.field == "thickness"


@given(SIZES, SIZES)
def test_a_thicker_part_never_comes_from_a_thinner_board(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert low + USUAL.planing_mm <= rough_mm(low, USUAL) + 1e-6
    assert rough_mm(low, USUAL) <= rough_mm(high, USUAL)


def test_rails_and_a_top_by_hand() -> None:
    """Four rails ¾ × 3 × 20 in and a top of 1¼ × 6 × 40 in.

    By hand: rails 4 · 1 · 3⅛ · 21 / 144 = 1.8229 board feet of 4/4, the top 1.5 · 6⅛ · 41 / 144 = 2.6159 of
    6/4; a fifth more for defects.
    """
    cuts = (Cut(4, 0.75 * IN, 3 * IN, 20 * IN), Cut(1, 1.25 * IN, 6 * IN, 40 * IN))
    rails, top = to_buy(cuts, USUAL)
    assert [quarters(r.thickness_mm) for r in (rails, top)] == ["4/4", "6/4"]
    assert rails.board_feet == pytest.approx(4 * 1 * 3.125 * 21 / 144)
    assert top.board_feet == pytest.approx(1.5 * 6.125 * 41 / 144)
    more = to_buy(cuts, replace(USUAL, waste_bp=2_000))
    assert [r.board_feet for r in more] == pytest.approx([rails.board_feet * 1.2, top.board_feet * 1.2])


def test_the_same_in_cubic_and_square_metres() -> None:
    """Ten parts of 26 × 100 × 1000 mm out of boards of just that: 1 m², 0.026 m³, 11.02 board feet."""
    (found,) = to_buy([Cut(10, 26.0, 100.0, 1_000.0)], replace(BARE, sold_mm=SOLD_IN_MM))
    assert found.m3 == pytest.approx(0.026)
    assert found.m2 == pytest.approx(1.0)
    assert found.board_feet == pytest.approx(0.026 / 0.002359737216)


def test_parts_of_one_thickness_are_one_line() -> None:
    cuts = [Cut(1, 19.0, 50.0, 500.0), Cut(1, 40.0, 50.0, 500.0), Cut(2, 18.0, 50.0, 500.0)]
    found = to_buy(cuts, BARE)
    assert [r.thickness_mm for r in found] == [25.4, 50.8]
    assert found[0].m3 == pytest.approx(3 * 25.4 * 50 * 500 / 1e9)
    assert to_buy([], USUAL) == ()
    assert to_buy([Cut(0, 19.0, 50.0, 500.0)], USUAL)[0].m3 == 0.0


@given(st.integers(1, 1_000), SIZES, st.floats(1.0, 1e4), st.floats(1.0, 1e4), st.integers(0, 30_000))
def test_more_is_bought_than_is_in_the_parts(
    count: int, thickness: float, width: float, length: float, waste_bp: int
) -> None:
    (found,) = to_buy([Cut(count, thickness, width, length)], replace(USUAL, waste_bp=waste_bp))
    assert found.board_feet > count * board_feet(thickness, width, length)
    assert found.m3 == pytest.approx(found.board_feet * M3_PER_BOARD_FOOT)


@pytest.mark.parametrize(
    "wrong",
    [Cut(1, 0.0, 50.0, 50.0), Cut(1, 19.0, -1.0, 50.0), Cut(1, 19.0, 50.0, inf), Cut(1, nan, 50.0, 50.0),
     Cut(-1, 19.0, 50.0, 50.0)],
)  # fmt: skip
def test_a_part_without_a_size(wrong: Cut) -> None:
    with pytest.raises(BadInput, match="above nought"):
        to_buy([wrong], USUAL)
