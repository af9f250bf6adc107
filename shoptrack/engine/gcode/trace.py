"""Thousands of moves at once → what the drawing may need of them."""

import numpy as np
from numpy.typing import NDArray

from shoptrack.engine.gcode.curves import Curves, chord_counts, chord_ends
from shoptrack.engine.gcode.sketch import Drawing
from shoptrack.engine.shapes.learned import Floats

Yes = NDArray[np.bool_]
Whole = NDArray[np.int64]
_STRAIGHT = 1e-9
_AT_ONCE = 512
"""So many moves at a time are drawn where arcs are: each grows by its chords, fewer once the grid grew."""


def draw(drawing: Drawing, tool: int, begin: Floats, ends: Floats, cuts: Yes) -> None:
    """Draw straight moves.

    Takes where the first begins (x, y), the ends (a row an axis) and which are cuts. An unknown place draws
    nothing. Method: of the moves of one kind those after which the path has come to another whole number of
    grid widths, those at which the kind changes, and plunges; the rest lies within a grid of these. Of places
    on a straight line the first and the last.
    """
    x, y = (np.concatenate(([first], row)) for first, row in zip(begin, ends, strict=True))
    if np.isnan(x[-1]) or np.isnan(y[-1]):
        return
    aside = np.hypot(np.diff(x), np.diff(y))
    cell = np.floor(np.cumsum(np.nan_to_num(aside)) / drawing.grid_mm)
    needed = (cuts & (aside == 0.0)) | np.isnan(aside)
    needed[1:] |= cell[1:] != cell[:-1]
    needed[:-1] |= cuts[1:] != cuts[:-1]
    needed[0] = needed[-1] = True
    at = np.flatnonzero(needed)
    at = at[_turns(x, y, cuts, at)]
    px, py = float(x[0]), float(y[0])
    rapids, xs, ys = (~cuts[at]).tolist(), x[at + 1].tolist(), y[at + 1].tolist()
    for rapid, qx, qy in zip(rapids, xs, ys, strict=True):
        if px == px and py == py and qx == qx and qy == qy:
            drawing.add(tool, rapid, px, py, qx, qy)
        px, py = qx, qy


def draw_bent(
    drawing: Drawing, tool: int, begin: Floats, ends: Floats, cuts: Yes, bent: Whole, found: Curves
) -> None:
    """Draw moves of which those numbered in ``bent`` are arcs: each as its chords."""
    for first in range(0, len(cuts), _AT_ONCE):
        last = min(first + _AT_ONCE, len(cuts))
        low, high = np.searchsorted(bent, (first, last))
        some = Curves(
            found.centre[:, low:high],
            found.radius[low:high],
            found.begins[low:high],
            found.sweep[low:high],
            found.sound,
        )
        which, places = chord_ends(some, chord_counts(some, drawing.grid_mm))
        before = bent[low:high][which] - first
        longer = np.insert(ends[:, first:last], before, places, axis=1)
        draw(drawing, tool, begin, longer, np.insert(cuts[first:last], before, True))
        begin = ends[:, last - 1]


def _turns(x: Floats, y: Floats, cuts: Yes, at: Whole) -> Yes:
    """At which of the moves the path doesn't go straight on with the next."""
    ways_x, ways_y = np.diff(np.concatenate((x[:1], x[at + 1]))), np.diff(np.concatenate((y[:1], y[at + 1])))
    crossed = ways_x[:-1] * ways_y[1:] - ways_y[:-1] * ways_x[1:]
    along = ways_x[:-1] * ways_x[1:] + ways_y[:-1] * ways_y[1:]
    turns = np.ones(len(at), dtype=bool)
    straight = (along > 0) & (np.abs(crossed) <= _STRAIGHT * along)
    turns[:-1] = ~straight | (cuts[at][:-1] != cuts[at][1:])
    return turns
