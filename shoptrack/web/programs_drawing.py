"""The thinned path of a program → its drawing from above: a line type for each tool, the bed, dimensions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shoptrack.engine.shapes.programs import Reach

WIDE, MOST_HIGH = 1000.0, 900.0  # of the drawing in its own units; lettering and lines keep their size
LEFT, TOP, RIGHT, BELOW = 96.0, 40.0, 40.0, 70.0
LABEL_WIDE, LABEL_HIGH = 56.0, 28.0
LINE_TYPES = 6
"""So many line types there are; a seventh tool begins with the first again, told apart by its label."""
LEAST_SHARE = 0.4
"""A bed of which the path takes less of both ways than this is not drawn: the path would be too small."""


@dataclass(frozen=True, slots=True)
class Line:
    """The path of one tool: the ``d`` of an SVG path, its line type from 0, and where its label stands."""

    tool: int
    face: int
    d: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle on the drawing."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class PathSheet:
    """The drawing: ``box`` is what the cuts reach, which is dimensioned. ``origin`` is X0 Y0 if in view.

    ``bed`` is drawn from X0 Y0 where all moves fit there (``bed_at_origin``), else round their middle.
    """

    height: float
    lines: tuple[Line, ...]
    rapids: str
    box: Frame
    bed: Frame | None
    bed_at_origin: bool
    origin: tuple[float, float] | None


Bed = tuple[float, float]
Rect = tuple[float, float, float, float]
"""The least X and Y, the most X and Y, in mm."""


@dataclass(frozen=True, slots=True)
class _Scale:
    """Millimetres to the drawing, whose Y runs down."""

    left: float
    top: float
    per_mm: float

    def x(self, mm: float) -> float:
        return round(LEFT + (mm - self.left) * self.per_mm, 1)

    def y(self, mm: float) -> float:
        return round(TOP + (self.top - mm) * self.per_mm, 1)

    def frame(self, rect: Rect) -> Frame:
        x0, y0, x1, y1 = rect
        x, y = self.x(x0), self.y(y1)
        return Frame(x, y, round(self.x(x1) - x, 1), round(self.y(y0) - y, 1))


def path_sheet(
    path: Sequence[Sequence[Any]], cuts: tuple[Reach | None, Reach | None], bed: Bed | None
) -> PathSheet | None:
    """The drawing of a path as it is kept, with the reaches of its cuts along X and Y and the bed's size.

    None where nothing of it can be drawn: no cut has a place that is known.
    """
    if not path or cuts[0] is None or cuts[1] is None:
        return None
    box = (cuts[0][0], cuts[1][0], cuts[0][1], cuts[1][1])
    shown = _around(path, box)
    on_bed, at_origin = _bed(shown, bed)
    whole = _joined(shown, on_bed) if on_bed else shown
    scale = _scale(whole)
    tools = list(dict.fromkeys(tool for tool, rapid, _ in path if not rapid))
    origin = (scale.x(0), scale.y(0)) if whole[0] <= 0 <= whole[2] and whole[1] <= 0 <= whole[3] else None
    return PathSheet(
        height=round(TOP + (whole[3] - whole[1]) * scale.per_mm + BELOW, 1),
        lines=_apart([_line(path, tool, n % LINE_TYPES, scale) for n, tool in enumerate(tools)]),
        rapids=_d((points for _, rapid, points in path if rapid), scale),
        box=scale.frame(box),
        bed=scale.frame(on_bed) if on_bed else None,
        bed_at_origin=at_origin,
        origin=origin,
    )


def _around(path: Sequence[Sequence[Any]], box: Rect) -> Rect:
    xs = [x for _, _, points in path for x in points[::2]]
    ys = [y for _, _, points in path for y in points[1::2]]
    return _joined((min(xs), min(ys), max(xs), max(ys)), box)


def _joined(a: Rect, b: Rect) -> Rect:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def _bed(shown: Rect, bed: Bed | None) -> tuple[Rect | None, bool]:
    """Where the bed is drawn, and whether from X0 Y0: where on it the work lies is not in the program."""
    if bed is None:
        return None, False
    wide, deep = shown[2] - shown[0], shown[3] - shown[1]
    if wide < bed[0] * LEAST_SHARE and deep < bed[1] * LEAST_SHARE:
        return None, False
    if shown[0] >= 0 and shown[1] >= 0 and shown[2] <= bed[0] and shown[3] <= bed[1]:
        return (0.0, 0.0, bed[0], bed[1]), True
    x, y = (shown[0] + shown[2] - bed[0]) / 2, (shown[1] + shown[3] - bed[1]) / 2
    return (x, y, x + bed[0], y + bed[1]), False


def _scale(whole: Rect) -> _Scale:
    wide, high = max(whole[2] - whole[0], 1.0), max(whole[3] - whole[1], 1.0)
    per_mm = min((WIDE - LEFT - RIGHT) / wide, (MOST_HIGH - TOP - BELOW) / high)
    return _Scale(whole[0], whole[3], per_mm)


def _apart(lines: Iterable[Line]) -> tuple[Line, ...]:
    """The lines with their labels beside each other where tools begin at one place."""
    found = list[Line]()
    for line in lines:
        while any(abs(line.x - o.x) < LABEL_WIDE and abs(line.y - o.y) < LABEL_HIGH for o in found):
            line = replace(line, x=round(line.x + LABEL_WIDE, 1))
        found.append(line)
    return tuple(found)


def _line(path: Sequence[Sequence[Any]], tool: int, face: int, scale: _Scale) -> Line:
    own = [points for number, rapid, points in path if number == tool and not rapid]
    return Line(tool, face, _d(own, scale), scale.x(own[0][0]), scale.y(own[0][1]))


def _d(runs: Iterable[Sequence[float]], scale: _Scale) -> str:
    """Runs of points as one path; one that stays in its place is a dot."""
    parts = []
    for points in runs:
        at = [f"{scale.x(x):g} {scale.y(y):g}" for x, y in zip(points[::2], points[1::2], strict=True)]
        turns = [a for a, b in zip(at[1:], at, strict=False) if a != b]
        parts.append(f"M{at[0]}" + ("L" + " ".join(turns) if turns else "h0"))
    return "".join(parts)
