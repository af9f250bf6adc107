"""A glue or finish and the warmth of its room to the instants at which its marks open and end."""

import math
from bisect import bisect_right, insort
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

from shoptrack.engine.shapes import Calendar, Cure, Mark, MarkTime, Reading, Recipe, Room
from shoptrack.engine.warmth import Piece, pieces, warmth
from shoptrack.errors import BadInput

__all__ = ["HORIZON", "Curve", "curve_of", "open_until", "reckon", "warmth"]

HORIZON = timedelta(days=60)
"""How far ahead a mark is looked for."""

_ROUNDING_MIN = 1e-6


@dataclass(frozen=True, slots=True)
class Curve:
    """How fast a mark ages at a temperature: the logarithm of its speed, in straight lines over °C.

    ``knots`` are (°C, ln speed), coldest first; ``colder`` and ``warmer`` are the slopes beyond them.
    Speed 1 is one minute of age a minute.
    """

    knots: tuple[tuple[float, float], ...]
    colder: float
    warmer: float

    def ln_speed(self, c: float) -> float:
        """The logarithm of the speed at a temperature."""
        after = bisect_right(self.knots, (c, math.inf))
        if after == 0:
            return self.knots[0][1] + self.colder * (c - self.knots[0][0])
        if after == len(self.knots):
            return self.knots[-1][1] + self.warmer * (c - self.knots[-1][0])
        (c0, s0), (c1, s1) = self.knots[after - 1 : after + 1]
        return s0 + (s1 - s0) * (c - c0) / (c1 - c0)


def curve_of(recipe: Recipe, mark: Mark) -> Curve:
    """How fast one mark of a recipe ages by temperature.

    Gives: speed 1 at the recipe's reference temperature, or by the mark's own table of minutes.
    Raises: BadInput when a factor or a table's minutes are not above zero.
    Method: speed Q10^((T − Tref)/10) with the mark's own factor, else the recipe's; a table is straight
    in log minutes, goes on as steeply where it is colder than its first line and no faster where it is
    warmer than its last; a table of one line takes the factor around it.
    """
    q10 = mark.q10 if mark.q10 is not None else recipe.q10
    if q10 <= 0 or any(minutes <= 0 for _, minutes in mark.points):
        raise BadInput(f"“{mark.name}” of {recipe.name} needs factors and minutes above zero.")
    slope = math.log(q10) / 10
    if not mark.points:
        return Curve(((recipe.reference_c, 0.0),), slope, slope)
    minutes_at_reference = mark.from_min or mark.until_min or 1.0
    knots = tuple((c, math.log(minutes_at_reference / m)) for c, m in sorted(mark.points))
    if len(knots) == 1:
        return Curve(knots, slope, slope)
    (c0, s0), (c1, s1) = knots[:2]
    return Curve(knots, (s1 - s0) / (c1 - c0), 0.0)


@dataclass(slots=True)
class _Clock:
    """The age of all marks that share one curve, and the minutes at which each age was reached."""

    curve: Curve
    lowest_c: float | None
    due: list[float] = field(default_factory=list)
    age: float = 0.0
    reached: dict[float, float] = field(default_factory=dict)

    def look_for(self, age: float) -> None:
        """Have an age looked for; one of nought is there at once."""
        if age <= 0:
            self.reached[age] = 0.0
        elif age not in self.due:
            insort(self.due, age)

    def _slices(self, minutes: float, start_c: float, end_c: float) -> Iterator[tuple[float, float, float]]:
        """A piece cut where its speed bends: minutes, ln speed at either end (−inf: it stands still)."""
        low, high = min(start_c, end_c), max(start_c, end_c)
        bends = [c for c, _ in self.curve.knots] + ([] if self.lowest_c is None else [self.lowest_c])
        inner = sorted((c for c in bends if low < c < high), reverse=end_c < start_c)
        for a, b in pairwise((start_c, *inner, end_c)):
            share = minutes * (b - a) / (end_c - start_c) if a != b else minutes
            if self.lowest_c is not None and (a + b) / 2 < self.lowest_c:
                yield share, -math.inf, -math.inf
            else:
                yield share, self.curve.ln_speed(a), self.curve.ln_speed(b)

    def advance(self, from_min: float, minutes: float, start_c: float, end_c: float) -> None:
        """Age through one piece of straight temperature that begins ``from_min`` after closing."""
        for share, start_ln, end_ln in self._slices(minutes, start_c, end_c):
            gained = _aged(share, start_ln, end_ln)
            while self.due and self.due[0] <= self.age + gained:
                age = self.due.pop(0)
                self.reached[age] = from_min + _minutes_to(age - self.age, share, start_ln, end_ln)
            self.age += gained
            from_min += share


def _aged(minutes: float, start_ln: float, end_ln: float) -> float:
    """The age gained while ln speed runs straight from one value to another: the exact integral."""
    if start_ln == -math.inf:
        return 0.0
    rise = end_ln - start_ln
    return minutes * math.exp(start_ln) * (math.expm1(rise) / rise if rise else 1.0)


def _minutes_to(age: float, minutes: float, start_ln: float, end_ln: float) -> float:
    """The minutes after which an age is gained, the inverse of ``_aged``."""
    level = age / math.exp(start_ln)
    rise = end_ln - start_ln
    return minutes * math.log1p(level * rise / minutes) / rise if rise else level


@dataclass(slots=True)
class _Course:
    """The temperatures a round went through, as minutes after closing."""

    steps: list[tuple[float, float, float, float]] = field(default_factory=list)
    read_min: float = 0.0

    def add(self, piece: Piece, cured_from: datetime) -> tuple[float, float, float, float]:
        """Take the next piece; gives (minutes after closing, its minutes, °C at either end)."""
        from_min = (piece.start - cured_from).total_seconds() / 60
        minutes = (piece.end - piece.start).total_seconds() / 60
        if piece.by == "between readings" and from_min - self.read_min < _ROUNDING_MIN:
            self.read_min = from_min + minutes
        self.steps.append((from_min, minutes, piece.start_c, piece.end_c))
        return self.steps[-1]

    def coldest_c(self, until_min: float) -> float:
        """The coldest it was from closing until some minutes after."""
        _, _, coldest, _ = self.steps[0]
        for from_min, minutes, start_c, end_c in self.steps:
            if from_min >= until_min:
                break
            share = min(1.0, (until_min - from_min) / minutes)
            coldest = min(coldest, start_c, start_c + (end_c - start_c) * share)
        return coldest

    def first_below(self, limit_c: float, until_min: float) -> float | None:
        """Minutes after closing at which it is first colder than a limit; None: not until ``until_min``."""
        for from_min, minutes, start_c, end_c in self.steps:
            if from_min >= until_min:
                break
            if start_c < limit_c:
                return from_min
            below_min = (
                from_min + minutes * (start_c - limit_c) / (start_c - end_c) if end_c < limit_c else math.inf
            )
            if below_min < until_min:
                return below_min
        return None

    def by(self, until_min: float) -> Literal["read", "usual"]:
        """Whether readings reach all the way."""
        return "read" if until_min <= self.read_min else "usual"


@dataclass(frozen=True, slots=True)
class _Reached:
    """Minutes after closing at which a mark opens and ends; infinite beyond the horizon."""

    mark: Mark
    from_min: float | None
    until_min: float | None

    @property
    def first_min(self) -> float:
        """When it opens; where nothing opens, when it ends."""
        return next((m for m in (self.from_min, self.until_min) if m is not None), 0.0)

    @property
    def last_min(self) -> float:
        """When the last of it is reached."""
        return max((m for m in (self.from_min, self.until_min) if m is not None), default=0.0)


def _run(
    recipe: Recipe, room: Room, readings: Sequence[Reading], calendar: Calendar, cured_from: datetime
) -> tuple[_Course, tuple[_Reached, ...]]:
    """Age every mark through the temperatures until all are reached or the horizon is."""
    curves = [curve_of(recipe, mark) for mark in recipe.marks]
    clocks = {curve: _Clock(curve, recipe.lowest_c) for curve in curves}
    for mark, curve in zip(recipe.marks, curves, strict=True):
        for age in (mark.from_min, mark.until_min):
            if age is not None:
                clocks[curve].look_for(age)
    course = _Course()
    for piece in pieces(room, readings, calendar, cured_from, cured_from + HORIZON):
        step = course.add(piece, cured_from)
        waiting = [clock for clock in clocks.values() if clock.due]
        for clock in waiting:
            clock.advance(*step)
        if not any(clock.due for clock in waiting):
            break
    found = (
        _Reached(mark, *(_reached(clocks[curve], age) for age in (mark.from_min, mark.until_min)))
        for mark, curve in zip(recipe.marks, curves, strict=True)
    )
    return course, tuple(found)


def _reached(clock: _Clock, age: float | None) -> float | None:
    return None if age is None else clock.reached.get(age, math.inf)


def _instant(cured_from: datetime, minutes: float | None) -> datetime | None:
    return None if minutes is None or minutes == math.inf else cured_from + timedelta(minutes=minutes)


def _judged_until(reached: Sequence[_Reached]) -> float:
    """Until when cold does harm: clamps off, else the last mark that is waited for, else the last."""
    opens = [r for r in reached if r.mark.role == "clamps off"] or [r for r in reached if r.mark.gates]
    return max((r.first_min for r in opens or reached), default=0.0)


def reckon(
    recipe: Recipe,
    room: Room,
    readings: Sequence[Reading],
    calendar: Calendar,
    cured_from: datetime,
) -> Cure:
    """When each mark of a glue or finish opens and ends, by the warmth the wood was at since it was closed.

    Takes: the room's readings, already judged plausible, oldest first; the instant the marks count from.
    Gives: marks in the recipe's order; whether cold leaves the joint in doubt; the coldest until clamps
    off (else the last mark); all by readings where they reach, else by the room's usual warmth.
    Raises: BadInput when a factor or a table's minutes are not above zero.
    Empty: a recipe without marks gives none, and the temperature at closing.
    Method: equivalent age ∫ Q10^((T − Tref)/10) dt, exact over straight temperatures; age stands still
    below the lowest temperature; 60 days are looked ahead.
    """
    course, reached = _run(recipe, room, readings, calendar, cured_from)
    lowest_c = -math.inf if recipe.lowest_c is None else recipe.lowest_c

    marks = tuple(
        MarkTime(
            r.mark,
            _instant(cured_from, r.from_min),
            _instant(cured_from, r.until_min),
            course.by(r.first_min),
            slowed=course.coldest_c(r.last_min) < lowest_c,
        )
        for r in reached
    )
    off = [r.first_min for r in reached if r.mark.role == "clamps off"] or [r.last_min for r in reached]
    watched_min = max(off, default=0.0)
    below_min = course.first_below(lowest_c, _judged_until(reached)) if recipe.below == "spoils" else None
    return Cure(marks, _instant(cured_from, below_min), course.coldest_c(watched_min), course.by(watched_min))


def open_until(recipe: Recipe, c: float, spread_at: datetime) -> datetime | None:
    """The end of the open time at a temperature.

    Takes: °C at spreading. Gives: UTC; None when the recipe names no open time.
    Method: open minutes at the reference temperature / Q10^((T − Tref)/10).
    """
    if recipe.open_min is None:
        return None
    return spread_at + timedelta(minutes=recipe.open_min * recipe.q10 ** ((recipe.reference_c - c) / 10))
