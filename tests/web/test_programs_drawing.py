"""The path of a program as it is drawn from above."""

import re

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.web.programs_drawing import LEFT, MOST_HIGH, RIGHT, TOP, WIDE, path_sheet

PLACE = st.floats(-2000, 2000, allow_nan=False)
RUN = st.tuples(
    st.integers(0, 12), st.booleans(), st.lists(st.tuples(PLACE, PLACE), min_size=1, max_size=6)
).map(lambda run: [run[0], run[1], [value for point in run[2] for value in point]])
SQUARE = [[1, False, [0, 0, 100, 0, 100, 50]], [1, True, [100, 50, 0, 0]], [4, False, [20, 20, 20, 20]]]


def test_a_square_is_drawn_to_scale_with_y_upwards() -> None:
    sheet = path_sheet(SQUARE, ((0, 100), (0, 50)), None)
    assert sheet is not None
    assert sheet.box.width == WIDE - LEFT - RIGHT
    assert sheet.box.height == sheet.box.width / 2
    assert sheet.origin == (LEFT, TOP + sheet.box.height)
    assert [(line.tool, line.face) for line in sheet.lines] == [(1, 0), (4, 1)]
    assert sheet.lines[1].d.endswith("h0"), "a hole is a dot"
    assert sheet.rapids
    assert sheet.bed is None


def test_the_bed_is_drawn_from_the_origin_where_all_fits_else_round_the_middle() -> None:
    fits = path_sheet(SQUARE, ((0, 100), (0, 50)), (120.0, 60.0))
    assert fits is not None
    assert fits.bed is not None
    assert fits.bed_at_origin
    off = path_sheet(SQUARE, ((0, 100), (0, 50)), (90.0, 60.0))
    assert off is not None
    assert off.bed is not None
    assert not off.bed_at_origin
    assert off.bed.x + off.bed.width / 2 == off.box.x + off.box.width / 2
    small = path_sheet(SQUARE, ((0, 100), (0, 50)), (2000.0, 1000.0))
    assert small is not None
    assert small.bed is None, "the path would be a speck on it"


def test_nothing_known_is_not_drawn() -> None:
    assert path_sheet([], ((0, 1), (0, 1)), None) is None
    assert path_sheet(SQUARE, (None, (0, 1)), None) is None


def test_labels_of_tools_that_begin_at_one_place_stand_apart() -> None:
    runs = [[n, False, [0, 0, 10 * n, 10]] for n in range(1, 5)]
    sheet = path_sheet(runs, ((0, 40), (0, 10)), None)
    assert sheet is not None
    places = {(line.x, line.y) for line in sheet.lines}
    assert len(places) == 4


@given(st.lists(RUN, min_size=1, max_size=8), st.none() | st.tuples(st.floats(1, 3000), st.floats(1, 3000)))
def test_everything_drawn_lies_on_the_sheet(
    runs: list[list[object]], bed: tuple[float, float] | None
) -> None:
    points = [p for *_, p in runs]
    xs, ys = [x for p in points for x in p[::2]], [y for p in points for y in p[1::2]]  # type: ignore[index]
    sheet = path_sheet(runs, ((min(xs), max(xs)), (min(ys), max(ys))), bed)  # type: ignore[arg-type]
    assert sheet is not None
    drawn = "".join(line.d for line in sheet.lines) + sheet.rapids
    for x, y in re.findall(r"(-?[\d.]+(?:e[+-]\d+)?) (-?[\d.]+(?:e[+-]\d+)?)", drawn):
        assert LEFT - 0.2 <= float(x) <= WIDE - RIGHT + 0.2
        assert TOP - 0.2 <= float(y) <= MOST_HIGH
    assert sheet.height <= MOST_HIGH + 0.2
