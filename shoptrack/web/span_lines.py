"""Ranges of minutes to dimension lines on one scale: from one in ten to nine in ten, a tick at the middle."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median

from shoptrack.engine.shapes.quoted import Range
from shoptrack.engine.units import minutes_words
from shoptrack.web.drawing import LETTERS_END

STEPS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 960, 2400, 4800, 9600, 24_000, 48_000, 96_000)
MOST_TICKS = 6
FARTHEST = 5.0
"""A line may be so many times as long as the middle one; what is longer runs off the scale."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Minutes across the drawing, from nought to ``longest_min``, with ticks in percent and their words."""

    longest_min: float
    ticks: tuple[tuple[float, str], ...]

    def x(self, minutes: float) -> float:
        """How far across so many minutes are, in percent, held within the edge."""
        return round(min(minutes / self.longest_min, 1.0) * 100, 2)


@dataclass(frozen=True, slots=True)
class SpanLine:
    """A range across the scale in percent; ``rule_x`` is where the rule of thumb lies, None without one.

    ``at_end``: the words at the middle are written to its left; ``runs_on``: nine in ten is off the scale.
    """

    from_x: float
    middle_x: float
    to_x: float
    rule_x: float | None
    words: str
    at_end: bool
    runs_on: bool


def scale_for(ranges: Sequence[Range], others: Sequence[float] = ()) -> Scale:
    """A scale on which some ranges are drawn, and other minutes beside them. Empty: an hour."""
    ends = [one.p90 for one in ranges]
    longest = max([*ends, *others, 1.0]) if ends else 60.0
    if len(ends) > 2:
        longest = min(longest, FARTHEST * median(ends))
    step = minute_step(longest)
    end = ceil(longest / step - 1e-9) * step
    count = round(end / step)
    return Scale(end, tuple((round(n * 100 / count, 2), minutes_words(n * step)) for n in range(count + 1)))


def minute_step(longest: float) -> float:
    """The step of a scale to so many minutes: a plain one, with at most six ticks."""
    return next((step for step in STEPS_MIN if longest / step <= MOST_TICKS), longest / MOST_TICKS)


def span_line(scale: Scale, found: Range, rule_min: float | None = None) -> SpanLine:
    """The line of one range on a scale."""
    middle = scale.x(found.p50)
    return SpanLine(
        from_x=scale.x(found.p10),
        middle_x=middle,
        to_x=scale.x(found.p90),
        rule_x=None if rule_min is None or rule_min > scale.longest_min else scale.x(rule_min),
        words=minutes_words(found.p50),
        at_end=middle > LETTERS_END,
        runs_on=found.p90 > scale.longest_min,
    )
