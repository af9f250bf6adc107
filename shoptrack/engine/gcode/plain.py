"""Thousands of plain lines at once – N, G0 to G3, X, Y, Z, I, J, F, no more – → the same as one by one."""

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shoptrack.engine.gcode.curves import Curves, curves, reaches
from shoptrack.engine.gcode.moves import doubt_the_cut
from shoptrack.engine.gcode.state import LEAST_FEED, State, note_unit
from shoptrack.engine.gcode.tally import Span
from shoptrack.engine.gcode.trace import draw, draw_bent
from shoptrack.engine.shapes.learned import Floats

FEWEST = 12
"""Of fewer lines the calls to numpy take longer than reading them one by one."""
# a group is never matched "without going back" (++, ?+): before Python 3.11.5 that matched half of it
_GAP = r"[ \t]{0,3}+"
_COUNT = rf"(?:[0-9]{{1,9}}+(?:\.[0-9]{{0,12}}+)?|\.[0-9]{{1,12}}+){_GAP}"
_VALUE = rf"[-+]?{_COUNT}"
_BENT = rf"(?:[Ii]{_VALUE})?(?:[Jj]{_VALUE})?"
# the letters in this order, each once: so no line of a run can contradict itself
_LINE = (
    rf"{_GAP}(?:[Nn][0-9]{{1,9}}+{_GAP})?(?:[Gg]0?[0-3](?![0-9.]){_GAP})?(?:[Xx]{_VALUE})?(?:[Yy]{_VALUE})?"
    rf"(?:[Zz]{_VALUE})?{_BENT}(?:[Ff]{_COUNT})?\n"
)
_RUN = re.compile(f"(?:{_LINE})+".encode())
_STRAIGHT_RUN = re.compile(f"(?:{_LINE.replace('[0-3]', '[01]').replace(_BENT, '')})+".encode())
_IN_NUMBERS = b"0123456789.+- \t"
_NUMBERS_ALONE = bytes(32 if chr(c) in "NGXYZIJFngxyzijf\n" else c for c in range(256))
_BELOW_MM = 1e-6
_PLANE = (0, 1, 2)
_MOTIONS = (0, 10, 20, 30)

Yes = NDArray[np.bool_]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """The words of a run: their letters (as bytes), lines from 0 and values."""

    letters: NDArray[np.uint8]
    lines: Whole
    values: Floats
    count: int

    def of(self, letter: str) -> tuple[Whole, Floats]:
        """The lines on which a letter stands, and its values."""
        here = self.letters == ord(letter)
        return self.lines[here], self.values[here]


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """The lines of a run that move: numbers, places before and after (a row an axis), mm, feed, which cut.

    ``bent`` are those of them that are arcs, ``arcs`` their shapes. ``motion``, ``last_feed``, ``place``
    hold after the run's last line.
    """

    lines: Whole
    start: Floats
    end: Floats
    mm: Floats
    feed: Floats
    cuts: Yes
    bent: Whole
    arcs: Curves
    motion: int
    last_feed: float
    place: Floats


def run_end(state: State, text: bytes, at: int) -> int:
    """Where the run of plain lines ends that begins here; ``at`` where none may be read at once."""
    known = state.absolute or not any(value != value for value in state.place)
    flat = state.axes == _PLANE and not state.centres_absolute
    motions, run = (_MOTIONS, _RUN) if flat else (_MOTIONS[:2], _STRAIGHT_RUN)
    if state.feed_by != "minute" or state.motion not in motions or not known:
        return at
    found = run.match(text, at)
    return found.end() if found else at


def obey_run(state: State, text: bytes, count: int) -> bool:
    """Do what a run of plain lines says, and say whether that was possible.

    Takes the ``count`` lines that ``run_end`` found. Nothing is done where a line among them can't be right:
    then they are to be read one by one, so that it is named. Method: what a line doesn't say is filled in
    from the last that did, for all lines at once; G91 by running sums.
    """
    moved = _moved(state, _words(text, count))
    if moved is None:
        return False
    state.line += count
    state.last_comment = ""
    state.motion, state.feed = moved.motion, moved.last_feed
    state.place = float(moved.place[0]), float(moved.place[1]), float(moved.place[2])
    if len(moved.lines):
        note_unit(state)
        _add_cuts(state, moved)
        _add_rapids(state, moved)
        _draw(state, moved)
    return True


def _words(text: bytes, count: int) -> Words:
    signs = np.frombuffer(text.upper().translate(None, _IN_NUMBERS), np.uint8)
    ends = signs == 10
    lines = np.cumsum(ends)
    values = np.fromstring(text.translate(_NUMBERS_ALONE).decode("ascii"), sep=" ")
    return Words(signs[~ends], lines[~ends], values, count)


def _moved(state: State, words: Words) -> Moved | None:
    """The moves of a run; None where one can't be."""
    codes = _filled(words.count, *words.of("G"), state.motion / 10)
    said, feeds = words.of("F")
    feeds = feeds * state.scale
    feed = _filled(words.count, said, np.where(feeds >= LEAST_FEED, feeds, 0.0), state.feed)
    moves = np.zeros(words.count, dtype=bool)
    places = np.empty((3, words.count + 1))
    for axis, letter in enumerate("XYZ"):
        lines, values = words.of(letter)
        moves[lines] = True
        places[axis, 0] = state.place[axis]
        places[axis, 1:] = _places(state, axis, words.count, lines, values * state.scale)
    offsets, round_ = _offsets(state, words)
    if (round_ & (codes < 2)).any() or (~round_ & moves & (codes > 1)).any():
        return None
    at = np.flatnonzero(moves | round_)
    start, end = places[:, :-1][:, at], places[:, 1:][:, at]
    bent = np.flatnonzero(round_[at])
    centre = start[:2, bent] + offsets[:, at[bent]]
    arcs = curves(start[:2, bent], end[:2, bent], centre, codes[at][bent] == 2.0, state.ways.arc_slack_mm)
    if not arcs.sound:
        return None
    if np.isnan(start[:, :1]).any():
        start = np.where(np.isnan(start), end, start)
    away = np.nan_to_num(end - start)
    mm = np.sqrt((away**2).sum(axis=0))
    mm[bent] = np.hypot(arcs.mm, away[2, bent])
    numbers, last = at + state.line + 1, places[:, -1]
    cuts = codes[at] > 0.0
    return Moved(
        numbers, start, end, mm, feed[at], cuts, bent, arcs, int(codes[-1]) * 10, float(feed[-1]), last
    )


def _offsets(state: State, words: Words) -> tuple[Floats, Yes]:
    """I and J of each line, 0 where there is none, and which lines have one."""
    found, said = np.zeros((2, words.count)), np.zeros(words.count, dtype=bool)
    for axis, letter in enumerate("IJ"):
        lines, values = words.of(letter)
        found[axis, lines] = values * state.scale
        said[lines] = True
    return found, said


def _places(state: State, axis: int, count: int, lines: Whole, values: Floats) -> Floats:
    """The place on an axis after each line."""
    if state.absolute:
        return _filled(count, lines, values, state.place[axis])
    ways = np.zeros(count + 1)
    ways[0] = state.place[axis]
    ways[lines + 1] = values
    return np.cumsum(ways)[1:]


def _filled(count: int, lines: Whole, values: Floats, first: float) -> Floats:
    """A value for each line: the last that was said, before that the first."""
    lasts = np.diff(np.concatenate(([0], lines, [count])))
    return np.repeat(np.concatenate(([first], values)), lasts)


def _add_cuts(state: State, moved: Moved) -> None:
    cuts, tally = moved.cuts, state.tally
    if not cuts.any():
        return
    lines, mm, feed = moved.lines[cuts], moved.mm[cuts], moved.feed[cuts]
    sums = tally.sums()
    fed = feed > 0
    sums.mm += float(mm.sum())
    sums.minutes += float((mm[fed] / feed[fed]).sum())
    if fed.any():
        sums.least_feed = min(sums.least_feed, float(feed[fed].min()))
        sums.most_feed = max(sums.most_feed, float(feed[fed].max()))
    _doubt(state, "no feed", lines[~fed & (mm > 0)])
    doubt_the_cut(state, int(lines[0]), len(lines))
    start, end = moved.start[:, cuts], moved.end[:, cuts]
    # with the sum so far first: a NaN, where no height is known, is not below it
    sums.least_z = min(sums.least_z, float(np.fmin.reduce(np.fmin(start[2], end[2]))))
    for span in (tally.cuts, tally.moves):
        _widen(state, span, start, end)
        if len(moved.bent):
            least, most = reaches(moved.arcs)
            _widen(state, span, least, most)


def _add_rapids(state: State, moved: Moved) -> None:
    rapids, tally = ~moved.cuts, state.tally
    if not rapids.any():
        return
    mm = float(moved.mm[rapids].sum())
    tally.rapid_mm += mm
    tally.rapid_min += mm / state.ways.rapid_mm_min
    start, end = moved.start[:, rapids], moved.end[:, rapids]
    sideways = (np.abs(end[0] - start[0]) > 0) | (np.abs(end[1] - start[1]) > 0)
    deep = np.minimum(start[2], end[2]) < -_BELOW_MM
    down = (end[2] < start[2]) & (end[2] < -_BELOW_MM)
    _doubt(state, "rapid below", moved.lines[rapids][(sideways & deep) | down])
    _widen(state, tally.moves, start, end)


def _doubt(state: State, kind: str, lines: Whole) -> None:
    if len(lines):
        state.tally.doubt(kind, int(lines[0]), len(lines))


def _widen(state: State, span: Span, one: Floats, other: Floats) -> None:
    """Widen a box to places, on X and Y alone where they have no more rows."""
    shift = np.array(state.tally.shift)[: len(one)]
    span.take((np.fmin.reduce(np.fmin(one, other), axis=1) + shift).tolist())
    span.take((np.fmax.reduce(np.fmax(one, other), axis=1) + shift).tolist())


def _draw(state: State, moved: Moved) -> None:
    tally = state.tally
    shift = np.array(tally.shift[:2])
    begin, ends = moved.start[:2, 0] + shift, moved.end[:2] + shift[:, None]
    if len(moved.bent):
        arcs = moved.arcs
        placed = Curves(arcs.centre + shift[:, None], arcs.radius, arcs.begins, arcs.sweep, arcs.sound)
        draw_bent(tally.drawing, tally.tool, begin, ends, moved.cuts, moved.bent, placed)
    else:
        draw(tally.drawing, tally.tool, begin, ends, moved.cuts)
