"""Times and minutes to the lines of a shop drawing: axis, centre lines, hatching, dials, dimensions.

Across is in percent of the drawing's width, so that lettering keeps its size on every screen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import cos, pi, sin

Span = tuple[datetime, datetime]

NIGHT_SCALE = 0.25  # an hour with nobody here is drawn a quarter as wide as one with somebody
LONGEST_AXIS = timedelta(days=2)
LEAST_AXIS = timedelta(hours=4)
LAST_TICK = 97.0  # lettering of a tick further across would run off the sheet
LETTERS_END = 62.0  # a label whose mark is further across is written to the left of it


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the axis drawn at one scale, from ``x`` to ``to_x`` percent."""

    start: datetime
    end: datetime
    x: float
    to_x: float
    night: bool

    @property
    def width(self) -> float:
        """How wide it is drawn."""
        return round(self.to_x - self.x, 2)


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the axis: where, and which instant; ``day`` True where a new day begins."""

    x: float
    at: datetime
    day: bool = False


@dataclass(frozen=True, slots=True)
class Axis:
    """Time across the sheet: open hours at full scale, nights squeezed and hatched."""

    pieces: tuple[Piece, ...]

    @property
    def start(self) -> datetime:
        """The instant at the left edge."""
        return self.pieces[0].start

    @property
    def end(self) -> datetime:
        """The instant at the right edge."""
        return self.pieces[-1].end

    @property
    def nights(self) -> tuple[Piece, ...]:
        """The stretches with nobody here."""
        return tuple(p for p in self.pieces if p.night)

    def x(self, at: datetime) -> float:
        """How far across an instant is, held within the edges."""
        for piece in self.pieces:
            if at < piece.end:
                share = max((at - piece.start) / (piece.end - piece.start), 0.0)
                return round(piece.x + share * (piece.to_x - piece.x), 2)
        return 100.0


def make_axis(start: datetime, last: datetime, open_spans: Sequence[Span]) -> Axis:
    """An axis from ``start`` to a little past ``last``, at least four hours and at most two days long.

    ``open_spans`` are the stretches with somebody here, in order; what lies between them is night.
    """
    end = min(max(last + (last - start) * 0.06, start + LEAST_AXIS), start + LONGEST_AXIS)
    stretches = _stretches(start, end, open_spans)
    weights = [(b - a).total_seconds() * (NIGHT_SCALE if night else 1.0) for a, b, night in stretches]
    scale, x, pieces = 100 / sum(weights), 0.0, []
    for (a, b, night), weight in zip(stretches, weights, strict=True):
        pieces.append(Piece(a, b, round(x, 3), round(x + weight * scale, 3), night))
        x += weight * scale
    return Axis(tuple(pieces))


def _stretches(
    start: datetime, end: datetime, open_spans: Sequence[Span]
) -> list[tuple[datetime, datetime, bool]]:
    found, at = [], start
    for opens, closes in open_spans:
        a, b = max(opens, at), min(closes, end)
        if b <= a:
            continue
        if a > at:
            found.append((at, a, True))
        found.append((a, b, False))
        at = b
    if at < end:
        found.append((at, end, True))
    return found


def hour_ticks(axis: Axis, midnight: Sequence[datetime], apart: float = 6.5) -> tuple[Tick, ...]:
    """Ticks at whole hours, at least ``apart`` percent from each other; those of ``midnight`` come first.

    Whole hours are counted from the first midnight given, which lies at or before the axis' start.
    """
    ticks = [Tick(axis.x(m), m, day=True) for m in midnight if axis.start < m and axis.x(m) <= LAST_TICK]
    taken = [0.0, *(t.x for t in ticks)]
    for day_start in midnight:
        for hour in _HOURS_BY_WORTH:
            at = day_start + timedelta(hours=hour)
            x = axis.x(at)
            if axis.start < at and x <= LAST_TICK and all(abs(x - other) >= apart for other in taken):
                ticks.append(Tick(x, at))
                taken.append(x)
    return tuple(sorted(ticks, key=lambda t: t.x))


_HOURS_BY_WORTH = (8, 12, 16, 10, 14, 18, 6, 20, 9, 11, 13, 15, 17, 7, 19, 22, 4, 2, 21, 23, 1, 3, 5)


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a mark: written to the right of ``x``, or to its left where they would run off the sheet."""

    x: float
    left: bool


def label_at(x: float) -> Label:
    """Where the words of a mark at ``x`` percent go."""
    return Label(x, x > LETTERS_END)


@dataclass(frozen=True, slots=True)
class CureLine:
    """A cure across the axis: hatching while clamps are held, then a centre line to the last mark.

    ``marks`` are label places in the order of the instants given; ``runs_on`` when the last is off the sheet.
    """

    clamps_to: float | None
    to_x: float
    marks: tuple[Label, ...]
    runs_on: bool


def cure_line(axis: Axis, clamps_off: datetime | None, marks: Sequence[datetime]) -> CureLine:
    """The drawing of one round from now on: ``clamps_off`` None where no clamps are held."""
    last = max([*marks, *([clamps_off] if clamps_off else []), axis.start])
    return CureLine(
        clamps_to=None if clamps_off is None else axis.x(clamps_off),
        to_x=axis.x(last),
        marks=tuple(label_at(axis.x(m)) for m in marks),
        runs_on=last > axis.end,
    )


@dataclass(frozen=True, slots=True)
class Dimension:
    """A stretch of work as a dimension line: done to ``to_x``, the usual at ``usual_x``, ``over`` past it."""

    to_x: float
    usual_x: float | None
    over: bool


def dimension(done_min: float, usual_min: float | None) -> Dimension:
    """The line for ``done_min`` against ``usual_min`` (None: nothing to compare with)."""
    if not usual_min:
        return Dimension(100.0, None, False)
    whole = max(done_min, usual_min)
    share = max(done_min, 0.0) / whole * 100
    return Dimension(round(share, 2), round(usual_min / whole * 100, 2), done_min > usual_min)


def dial(left_min: float, whole_min: float = 60.0, radius: float = 27.0) -> str:
    """The path of what is left on a dial around (0, 0), from twelve o'clock on; empty when nothing is.

    A full dial is drawn as a hair less than the whole, since an arc can't end where it starts.
    """
    share = min(max(left_min / whole_min, 0.0), 0.9999)
    if share == 0:
        return ""
    x, y = radius * sin(share * 2 * pi), -radius * cos(share * 2 * pi)
    return f"M0 0V{-radius:g}A{radius:g} {radius:g} 0 {int(share > 0.5)} 1 {x:.2f} {y:.2f}Z"
