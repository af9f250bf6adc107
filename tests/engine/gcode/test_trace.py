"""Moves at once into the drawing: as one by one, within what is promised."""

from itertools import pairwise
from math import pi

import numpy as np
import pytest

from shoptrack.engine.gcode.curves import curves
from shoptrack.engine.gcode.sketch import Drawing
from shoptrack.engine.gcode.trace import draw, draw_bent
from tests.engine.gcode.test_sketch import farthest_mm


def test_straight_moves_are_drawn_as_one_by_one() -> None:
    rng = np.random.default_rng(3)
    places = np.concatenate((np.zeros((2, 1)), rng.integers(0, 90, (2, 60)) * 1.0), axis=1)
    cuts = rng.random(60) < 0.6
    at_once, alone = Drawing(), Drawing()
    draw(at_once, 1, places[:, 0], places[:, 1:], cuts)
    for ((x0, y0), (x1, y1)), cut in zip(pairwise(places.T.tolist()), cuts.tolist(), strict=True):
        alone.add(1, not cut, x0, y0, x1, y1)
    assert at_once.strokes() == alone.strokes()


def test_a_wave_stays_within_what_is_promised() -> None:
    x = np.linspace(0, 300, 50_000)
    way = np.stack((x, 40 * np.sin(x / 7)))
    sketch = Drawing()
    draw(sketch, 1, way[:, 0], way[:, 1:], np.ones(way.shape[1] - 1, dtype=bool))
    strokes = sketch.strokes()
    assert 30 < len(strokes) <= 3001
    assert farthest_mm([(a, b) for a, b in way.T[::501].tolist()], strokes) <= sketch.within_mm


def test_unknown_places_draw_nothing() -> None:
    sketch = Drawing()
    nan = np.full((2, 3), np.nan)
    draw(sketch, 1, nan[:, 0], nan, np.ones(3, dtype=bool))
    assert sketch.strokes() == ()
    known = np.array([[np.nan, 1.0, 50.0], [np.nan, 1.0, 1.0]])
    draw(sketch, 1, nan[:, 0], known, np.ones(3, dtype=bool))
    assert [(s.x0_mm, s.x1_mm) for s in sketch.strokes()] == [(1, 50)]


@pytest.mark.parametrize("circles", [1, 1500])
def test_arcs_are_drawn_as_their_chords(circles: int) -> None:
    """Circles of radius 10 in a row, each from its leftmost place, with a straight move on to the next."""
    start = np.stack((np.arange(circles) * 0.5, np.zeros(circles)))
    found = curves(start, start, start + np.array([[10.0], [0.0]]), np.ones(circles, dtype=bool), 0.01)
    ends = np.repeat(start, 2, axis=1)
    ends[0, 1::2] += 0.5
    sketch = Drawing()
    cuts = np.ones(2 * circles, dtype=bool)
    draw_bent(sketch, 1, start[:, 0], ends, cuts, np.arange(0, 2 * circles, 2), found)
    angles = np.linspace(0, 2 * pi, 60)
    way = [(10 - 10 * np.cos(a), 10 * np.sin(a)) for a in angles]
    assert farthest_mm(way, sketch.strokes()) <= sketch.within_mm
    assert (sketch.within_mm < 1.0) == (circles == 1)
