"""Thousands of arcs about centres at once → their lengths, how far they reach, and chords to draw them by."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shoptrack.engine.gcode.arcs import MOST_CHORDS, SAME_MM
from shoptrack.engine.shapes.learned import Floats

Yes = NDArray[np.bool_]
Whole = NDArray[np.int64]
_TURN = 2 * np.pi


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Arcs on the plane of X and Y, as ``arcs.Arc`` has them one by one; sound where each can be one."""

    centre: Floats
    radius: Floats
    begins: Floats
    sweep: Floats
    sound: bool

    @property
    def mm(self) -> Floats:
        """The ways on the plane."""
        return np.asarray(np.abs(self.radius * self.sweep))


def curves(start: Floats, end: Floats, centre: Floats, clockwise: Yes, slack_mm: float) -> Curves:
    """The arcs about centres; places in mm, a row an axis.

    Method and source: those of ``arcs.by_centre``.
    """
    out, home = start - centre, end - centre
    first, last = np.hypot(*out), np.hypot(*home)
    begins = np.arctan2(out[1], out[0])
    turn = np.arctan2(home[1], home[0]) - begins
    turn[np.hypot(*(end - start)) < SAME_MM] = 0.0
    way = np.where(clockwise, -turn, turn) % _TURN
    way[way == 0.0] = _TURN
    # a NaN, from an unknown place, is not sound either
    sound = (np.minimum(first, last) >= SAME_MM) & (np.abs(first - last) <= slack_mm)
    return Curves(centre, (first + last) / 2, begins, np.where(clockwise, -way, way), bool(sound.all()))


def reaches(found: Curves) -> tuple[Floats, Floats]:
    """The least and the most on X and Y of the places where an arc turns back; NaN where it does nowhere."""
    quarters = np.arange(4)[:, None] * (_TURN / 4)
    away = ((quarters - found.begins) * np.sign(found.sweep)) % _TURN
    passed = (away > 0) & (away < np.abs(found.sweep))
    right, top, left, bottom = (np.where(each, found.radius, np.nan) for each in passed)
    least = np.stack((found.centre[0] - left, found.centre[1] - bottom))
    most = np.stack((found.centre[0] + right, found.centre[1] + top))
    return least, most


def chord_counts(found: Curves, within_mm: float) -> Whole:
    """How many chords of each stay within a distance of it; as ``arcs.Arc.chords``."""
    inside = np.maximum(1.0 - within_mm / np.maximum(found.radius, within_mm), -1.0)
    step = np.maximum(2 * np.arccos(inside), 1e-3)
    counts: Whole = np.clip(np.ceil(np.abs(found.sweep) / step), 1, MOST_CHORDS).astype(np.int64)
    return counts


def chord_ends(found: Curves, counts: Whole) -> tuple[Whole, Floats]:
    """The ends of all chords but the last of each arc: which arc, and where."""
    which = np.repeat(np.arange(len(counts)), counts - 1)
    firsts = np.cumsum(counts - 1) - (counts - 1)
    share = (np.arange(len(which)) - firsts[which] + 1) / counts[which]
    angle = found.begins[which] + found.sweep[which] * share
    places = found.centre[:, which] + found.radius[which] * np.stack((np.cos(angle), np.sin(angle)))
    return which, places
