"""A long path as a few strokes: within what is promised, no more than there is room for, dots for holes."""

from itertools import pairwise
from math import cos, hypot, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode.sketch import Drawing, Sketch
from shoptrack.engine.shapes.programs import Stroke

Way = list[tuple[float, float]]


def drawn(way: Way, most: int = 4000, rapid: bool = False, tool: int = 1) -> Sketch:
    sketch = Sketch(most)
    for (x0, y0), (x1, y1) in pairwise(way):
        sketch.add(tool, rapid, x0, y0, x1, y1)
    return sketch


def farthest_mm(way: Way, strokes: tuple[Stroke, ...]) -> float:
    """How far the places of a way are from the nearest stroke, at most."""
    worst = 0.0
    ends = np.array([(s.x0_mm, s.y0_mm, s.x1_mm, s.y1_mm) for s in strokes])
    start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    square = np.maximum((along**2).sum(axis=1), 1e-30)
    for place in way:
        share = np.clip(((np.array(place) - start) * along).sum(axis=1) / square, 0.0, 1.0)
        gap = start + share[:, None] * along - np.array(place)
        worst = max(worst, float(np.sqrt((gap**2).sum(axis=1)).min()))
    return worst


def test_a_straight_way_of_many_pieces_is_one_stroke() -> None:
    strokes = drawn([(n * 0.5, n * 0.25) for n in range(1001)]).strokes()
    assert strokes == (Stroke(1, False, 0.0, 0.0, 500.0, 250.0),)


def test_there_and_back_is_drawn_once() -> None:
    strokes = drawn([(0, 0), (100, 0), (0, 0), (100, 0)]).strokes()
    assert strokes == (Stroke(1, False, 0, 0, 100, 0),)


def test_a_rectangle_keeps_its_corners() -> None:
    strokes = drawn([(0, 0), (100, 0), (100, 50), (0, 50), (0, 0)]).strokes()
    assert [(s.x1_mm, s.y1_mm) for s in strokes] == [(100, 0), (100, 50), (0, 50), (0, 0)]


def test_a_hole_is_a_dot_and_a_rapid_plunge_is_nothing() -> None:
    sketch = Sketch(4000)
    sketch.add(1, True, 0, 0, 10, 10)
    sketch.add(1, True, 10, 10, 10, 10)
    sketch.add(1, False, 10, 10, 10, 10)
    sketch.add(1, False, 10, 10, 10, 10)
    assert sketch.strokes() == (Stroke(1, True, 0, 0, 10, 10), Stroke(1, False, 10, 10, 10, 10))


def test_a_cut_too_small_to_see_is_a_dot() -> None:
    assert drawn([(5, 5), (5.01, 5), (5.01, 5.01)]).strokes() == (Stroke(1, False, 5, 5, 5, 5),)


def test_tools_and_rapids_are_kept_apart() -> None:
    sketch = Sketch(4000)
    for tool, rapid in ((1, False), (2, False), (2, True)):
        sketch.add(tool, rapid, 0, 0, 100, 0)
    assert [(s.tool, s.rapid) for s in sketch.strokes()] == [(1, False), (2, False), (2, True)]


def test_a_full_sketch_is_thinned_and_still_near() -> None:
    """A spiral of 20,000 pieces in 300 strokes."""
    way = [(n / 100 * cos(n / 40), n / 100 * sin(n / 40)) for n in range(20_000)]
    sketch = drawn(way, most=300)
    strokes = sketch.strokes()
    assert 50 < len(strokes) <= 300
    assert farthest_mm(way[::37], strokes) <= sketch.within_mm
    assert farthest_mm(way[::37], strokes) < 30.0


@pytest.mark.parametrize("count", [10_000, 40_000])
def test_its_room_is_bounded_whatever_comes(count: int) -> None:
    rng = np.random.default_rng(5)
    way = [(float(x), float(y)) for x, y in rng.uniform(0, 900, (count, 2))]
    sketch = drawn(way, most=500)
    assert len(sketch.strokes()) <= 501
    assert farthest_mm(way[::997], sketch.strokes()) <= sketch.within_mm


def test_rapids_have_a_sketch_of_their_own() -> None:
    """However many ways there are through the air, the holes between them stay where they are."""
    rng = np.random.default_rng(2)
    drawing, last = Drawing(), (0.0, 0.0)
    for x, y in rng.uniform(0, 900, (3000, 2)).tolist():
        drawing.add(1, True, *last, x, y)
        drawing.add(1, False, x, y, x, y)
        last = x, y
    rapids = [stroke.rapid for stroke in drawing.strokes()]
    assert rapids == sorted(rapids)
    assert rapids.count(False) > 2990
    assert 0 < rapids.count(True) <= 1001
    assert drawing.grid_mm < 0.1 < drawing.within_mm


steps = st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0))


@given(st.lists(steps, min_size=2, max_size=120), st.integers(8, 60))
@settings(max_examples=60, deadline=None)
def test_no_place_is_farther_than_promised(taken: Way, most: int) -> None:
    way = [(0.0, 0.0)]
    for across, up in taken:
        way.append((way[-1][0] + across, way[-1][1] + up))
    sketch = drawn(way, most)
    strokes = sketch.strokes()
    if strokes:
        assert farthest_mm(way, strokes) <= sketch.within_mm
    else:
        assert hypot(*(max(c) - min(c) for c in zip(*way, strict=True))) <= sketch.within_mm
