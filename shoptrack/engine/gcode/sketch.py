"""The straight pieces of a path, any number of them → a few thousand that look the same from above."""

from math import asin, atan2, floor, hypot, pi

from shoptrack.engine.shapes.programs import Stroke

MOST_CUTS, MOST_RAPIDS = 3000, 1000
_FIRST_GRID_MM = 0.05
_Flat = tuple[float, float]
_Key = tuple[int, int, int, int, int]


class Sketch:
    """Draws one straight stroke as long as it passes every place within a grid's width, and like ones once.

    When it is full the grid doubles, and what it has is drawn again; so its memory is bounded, and no place
    of the path lies farther than ``within_mm`` from what is kept.
    """

    __slots__ = ("_aim", "_at", "_far", "_fresh", "_grid_mm", "_kept", "_kind", "_most", "_pen", "_room")

    def __init__(self, most: int) -> None:
        self._most = most
        self._grid_mm = _FIRST_GRID_MM
        self._kept: dict[_Key, Stroke] = {}
        self._kind = -1
        self._lift(0.0, 0.0)
        self._fresh = False

    @property
    def grid_mm(self) -> float:
        """How far the path may be from a stroke before another one begins."""
        return self._grid_mm

    @property
    def within_mm(self) -> float:
        """How far a place of the path may lie from what is kept.

        A grid's width for the strokes, another where thousands come at once, one for the chords of an arc, a
        cell's diagonal where strokes of two ways are taken for one; for each doubling before, all again,
        half as wide.
        """
        return 9 * self._grid_mm

    def add(self, tool: int, rapid: bool, x0: float, y0: float, x1: float, y1: float) -> None:
        """Go from one place to another, in mm."""
        if rapid and x0 == x1 and y0 == y1:
            return
        kind = 2 * tool + rapid
        if kind != self._kind or self._at != (x0, y0):
            self._end()
            self._kind, self._fresh = kind, True
            self._lift(x0, y0)
        if x0 != x1 or y0 != y1:
            self._extend(x1, y1)
        else:
            self._fresh = False
            self._keep((x0, y0), (x0, y0))

    def strokes(self) -> tuple[Stroke, ...]:
        """What is kept, in the order of the path."""
        self._end()
        self._kind = -1
        return tuple(self._kept.values())

    def _lift(self, x: float, y: float) -> None:
        """Begin a stroke: ``room`` is how far it may turn either way, ``far`` its length so far."""
        self._pen = self._at = x, y
        self._aim, self._room, self._far = 0.0, (-pi, pi), 0.0

    def _extend(self, x: float, y: float) -> None:
        """Go on with the stroke, or begin another if its end can't be here."""
        if not self._fits(x, y):
            self._end()
            self._lift(*self._at)
            self._fits(x, y)
        self._at = x, y

    def _fits(self, x: float, y: float) -> bool:
        """Whether one stroke to here passes all places since its beginning; then its room is narrowed."""
        across, up = x - self._pen[0], y - self._pen[1]
        away = hypot(across, up)
        if away <= self._grid_mm:
            return self._far <= self._grid_mm
        if away < self._far - self._grid_mm:
            return False
        angle = atan2(up, across)
        low, high = self._room
        if high - low > 6.0:
            self._aim = angle
        turned = (angle - self._aim + pi) % (2 * pi) - pi
        if not low <= turned <= high:
            return False
        slack = asin(self._grid_mm / away)
        self._room = max(low, turned - slack), min(high, turned + slack)
        self._far = max(self._far, away)
        return True

    def _end(self) -> None:
        """Keep the stroke up to here; of a way that is all within a grid's width, a dot."""
        if self._pen == self._at:
            return
        short = self._far <= self._grid_mm
        if not short or (self._fresh and self._kind % 2 == 0):
            self._keep(self._pen, self._pen if short else self._at)
        self._fresh = False

    def _keep(self, start: _Flat, end: _Flat) -> None:
        grid = self._grid_mm
        one = floor(start[0] / grid), floor(start[1] / grid)
        other = floor(end[0] / grid), floor(end[1] / grid)
        # there and back is the same line
        key = (self._kind, *one, *other) if one <= other else (self._kind, *other, *one)
        if key not in self._kept:
            self._kept[key] = Stroke(self._kind // 2, self._kind % 2 == 1, *start, *end)
            if len(self._kept) > self._most:
                self._thin()

    def _thin(self) -> None:
        """Double the grid and draw again what is here, until half of the room is free."""
        pen = self._kind, self._fresh, self._at, self._pen, self._aim, self._room, self._far
        for _ in range(60):
            self._grid_mm *= 2
            old, self._kept, self._kind = self._kept, {}, -1
            self._pen = self._at
            for each in old.values():
                self.add(each.tool, each.rapid, each.x0_mm, each.y0_mm, each.x1_mm, each.y1_mm)
            self._end()
            if len(self._kept) <= self._most // 2:
                break
        self._kind, self._fresh, self._at, self._pen, self._aim, self._room, self._far = pen


class Drawing:
    """Cuts and rapids, each in a sketch of its own: ways through the air don't make what is cut coarser."""

    def __init__(self) -> None:
        self._cuts, self._rapids = Sketch(MOST_CUTS), Sketch(MOST_RAPIDS)

    @property
    def grid_mm(self) -> float:
        """That of the cuts."""
        return self._cuts.grid_mm

    @property
    def within_mm(self) -> float:
        """How far a place of a cut may lie from what is kept."""
        return self._cuts.within_mm

    def add(self, tool: int, rapid: bool, x0: float, y0: float, x1: float, y1: float) -> None:
        """Go from one place to another, in mm."""
        (self._rapids if rapid else self._cuts).add(tool, rapid, x0, y0, x1, y1)

    def strokes(self) -> tuple[Stroke, ...]:
        """The cuts, then the rapids, each in the order of the path."""
        return self._cuts.strokes() + self._rapids.strokes()
