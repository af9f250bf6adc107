"""The size of a part to the boards it is cut from, with the rough thickness said."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.quoting.boards import Boards, boards_for

INCH = 25.4


def test_three_quarters_of_an_inch_is_bought_as_four_quarters() -> None:
    """Ten parts ¾ × 5 7/8 × 47 in: with ⅛ in of kerf and 1 in of length, 6 × 48 in of 4/4: 2 board feet each.

    Board feet are thickness · width · length in inches / 144, the measure's definition in the trade.
    """
    found = boards_for(10, 0.75 * INCH, 5.875 * INCH, 47 * INCH, metric=False)
    assert found == Boards("4/4 rough", 20.0, "board feet")


def test_a_little_thicker_takes_the_next_board() -> None:
    assert boards_for(1, INCH, 5.875 * INCH, 47 * INCH, metric=False) == Boards(
        "5/4 rough", 2.5, "board feet"
    )


def test_in_millimetres_it_is_bought_by_the_cubic_metre() -> None:
    """20 mm and 5 mm to plane: 26 mm boards; 4 parts of 100 × 1,000 mm: 0.026 · 0.103 · 1.025 · 4 m³."""
    found = boards_for(4, 20, 100, 1000, metric=True)
    assert (found.called, found.unit) == ("26 mm rough", "m³")
    assert found.quantity == pytest.approx(0.026 * 0.103 * 1.025 * 4, abs=1e-4)
    assert found.quantity >= 0.026 * 0.103 * 1.025 * 4


@pytest.mark.parametrize("size", [(0.0, 10.0, 10.0), (500.0, 10.0, 10.0)])
def test_what_no_board_gives_is_refused(size: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        boards_for(1, *size, metric=False)
