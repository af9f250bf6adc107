"""An arc's ends with its centre or its radius → centre, sweep, length, and how far it reaches."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import acos, atan2, ceil, cos, floor, hypot, pi, sin, sqrt

from shoptrack.engine.gcode.refusal import Unread

Flat = tuple[float, float]
"""A place on the plane of the arc, in mm; the plane's two axes are right-handed about the third."""

SAME_MM = 1e-6
_QUARTER = pi / 2
MOST_CHORDS = 256


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc on a plane, and ``rise_mm`` along the third axis meanwhile (a helix).

    ``sweep`` is in radians, against the clock where it is above 0. ``radius_mm`` is the mean of those at its
    two ends.
    """

    centre: Flat
    radius_mm: float
    begins: float
    sweep: float
    rise_mm: float

    @property
    def length_mm(self) -> float:
        """The way along the helix."""
        return hypot(self.radius_mm * self.sweep, self.rise_mm)

    def at(self, share: float) -> Flat:
        """The place after a share of the sweep."""
        angle = self.begins + self.sweep * share
        return (
            self.centre[0] + self.radius_mm * cos(angle),
            self.centre[1] + self.radius_mm * sin(angle),
        )

    def quarters(self) -> Iterator[Flat]:
        """The places strictly within the sweep at which it turns back on one of the plane's axes."""
        low, high = sorted((self.begins, self.begins + self.sweep))
        turn = floor(low / _QUARTER) + 1
        while turn * _QUARTER < high:
            yield self._turn(turn % 4)
            turn += 1

    def chords(self, within_mm: float) -> int:
        """How many chords of equal sweep stay within a distance of it; 256 at most."""
        inside = max(1.0 - within_mm / max(self.radius_mm, within_mm), -1.0)
        return min(max(ceil(abs(self.sweep) / max(2 * acos(inside), 1e-3)), 1), MOST_CHORDS)

    def _turn(self, quarter: int) -> Flat:
        across, up = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
        return self.centre[0] + across * self.radius_mm, self.centre[1] + up * self.radius_mm


def by_centre(start: Flat, end: Flat, centre: Flat, clockwise: bool, rise_mm: float, slack_mm: float) -> Arc:
    """The arc about a centre; one that ends where it begins is a full circle.

    Takes places in mm. Raises ``Unread`` if the ends' distances from the centre differ by more than
    ``slack_mm``. Source: NIST IR 6556, 3.5.3.2, which allows 0.002 mm (0.0002 in).
    """
    first = hypot(start[0] - centre[0], start[1] - centre[1])
    last = hypot(end[0] - centre[0], end[1] - centre[1])
    if min(first, last) < SAME_MM:
        raise Unread("the arc's centre lies on one of its ends.")
    if abs(first - last) > slack_mm:
        raise Unread("the arc's ends are not equally far from its centre.")
    begins = atan2(start[1] - centre[1], start[0] - centre[0])
    turn = atan2(end[1] - centre[1], end[0] - centre[0]) - begins
    if hypot(end[0] - start[0], end[1] - start[1]) < SAME_MM:
        turn = 0.0
    sweep = turn % (2 * pi) or 2 * pi
    if clockwise:
        sweep = -((-turn) % (2 * pi) or 2 * pi)
    return Arc(centre, (first + last) / 2, begins, sweep, rise_mm)


def by_radius(
    start: Flat, end: Flat, radius_mm: float, clockwise: bool, rise_mm: float, slack_mm: float
) -> Arc:
    """The arc of a radius: at most half a turn, or at least half a turn where the radius is below 0.

    Takes places in mm. Raises ``Unread`` if it ends where it begins, or the ends lie farther apart than the
    circle is wide. Source: NIST IR 6556, 3.5.3.1.
    """
    across, up = end[0] - start[0], end[1] - start[1]
    chord = hypot(across, up)
    if chord < SAME_MM:
        raise Unread("an arc by radius (R) ends where it begins: its centre may lie anywhere.")
    if chord / 2 > abs(radius_mm) + slack_mm:
        raise Unread("the arc's radius (R) is too small for the way to its end.")
    out = sqrt(max(radius_mm**2 - (chord / 2) ** 2, 0.0))
    # going round with the clock the centre lies on the right, on the longer way on the left
    right = out if clockwise == (radius_mm > 0) else -out
    centre = (
        (start[0] + end[0]) / 2 + right * up / chord,
        (start[1] + end[1]) / 2 - right * across / chord,
    )
    return by_centre(start, end, centre, clockwise, rise_mm, slack_mm)
