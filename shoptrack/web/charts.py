"""What the Times found → charts: series of numbers with their words, drawn by js/charts.js in the page."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from html import escape
from json import dumps
from math import ceil, log10
from typing import Literal

from shoptrack.engine.units import minutes_words
from shoptrack.web.render import MONTHS
from shoptrack.web.span_lines import STEPS_MIN, minute_step

Ticks = tuple[tuple[float, str], ...]
MOST_MONTH_WORDS = 8


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis: its words, its ticks with theirs, where it begins and ends; ``log``: by powers of ten.

    ``across``: it has a line through the sheet at each tick.
    """

    words: str
    ticks: Ticks
    begins: float
    ends: float
    log: bool = False
    across: bool = True


@dataclass(frozen=True, slots=True)
class Series:
    """Numbers drawn alike: as a line, points or bars, each with the words shown where it is touched.

    ``low`` and ``high``: between which each lies, where that is drawn.
    """

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    words: tuple[str, ...]
    drawn: Literal["line", "points", "bars"]
    line: Literal["solid", "dash", "dot"] = "solid"
    symbol: str = "circle"
    ink: Literal["ink", "pencil", "rust"] = "ink"
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: what its picture is called, the sentence that sums it up, its axes and series."""

    name: str
    said: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    lying: bool = False

    @property
    def figure(self) -> str:
        """The chart as its page carries it. Words are written so that none is read as lettering commands."""
        return dumps(_plain(asdict(self)), ensure_ascii=False, separators=(",", ":"))


def _plain(said: object) -> object:
    if isinstance(said, str):
        return escape(said, quote=False)
    if isinstance(said, float):
        return round(said, 4)
    if isinstance(said, tuple | list):
        return [_plain(one) for one in said]
    return {name: _plain(one) for name, one in said.items()} if isinstance(said, dict) else said


def minutes_axis(words: str, longest: float) -> Axis:
    """An axis of minutes from nought to a plain end."""
    step = minute_step(max(longest, 1.0))
    ends = ceil(max(longest, 1.0) / step - 1e-9) * step
    ticks = tuple((n * step, minutes_words(n * step)) for n in range(round(ends / step) + 1))
    return Axis(words, ticks, 0.0, ends)


def minutes_by_powers(words: str, found: Sequence[float]) -> Axis:
    """An axis of minutes on which twice as long is always as far."""
    least, most = max(min(found, default=1.0), 0.1) / 1.25, max(max(found, default=60.0), 0.2) * 1.25
    inside = [step for step in STEPS_MIN if least <= step <= most]
    ticks = tuple((float(step), minutes_words(step)) for step in inside)
    return Axis(words, ticks, log10(least), log10(most), log=True)


def share_axis(words: str, longest: float = 1.0) -> Axis:
    """An axis of shares, in percent."""
    step = next(s for s in (0.05, 0.1, 0.2) if s == 0.2 or longest / s <= 6)
    ends = min(ceil(longest / step - 1e-9) * step, 1.0)
    ticks = tuple((n * step, f"{round(n * step * 100)} %") for n in range(round(ends / step) + 1))
    return Axis(words, ticks, 0.0, ends)


def month_axis(months: Sequence[date]) -> Axis:
    """An axis of months, those with nothing in them too, named so many as can be read."""
    last = month_place(months[-1], months[0])
    every = ceil((last + 1) / MOST_MONTH_WORDS)
    ticks = tuple((float(n), _month_words(months[0], n)) for n in range(0, last + 1, every))
    return Axis("", ticks, -0.5, last + 0.5, across=False)


def month_place(month: date, first: date) -> int:
    """How many months after the first one it is."""
    return (month.year - first.year) * 12 + month.month - first.month


def month_words(month: date) -> str:
    """A month as "Nov 2026"."""
    return f"{MONTHS[month.month - 1]} {month.year}"


def names_axis(names: Sequence[str]) -> Axis:
    """An axis of names, the first on top."""
    ticks = tuple((float(n), name if len(name) <= 24 else f"{name[:23]}…") for n, name in enumerate(names))
    return Axis("", ticks, len(names) - 0.4, -0.6, across=False)


def percent(share: float) -> str:
    """A share as "81 %"; under one in a hundred with a decimal."""
    return f"{share * 100:.1f} %" if 0 < share < 0.01 else f"{round(share * 100)} %"


def _month_words(first: date, place: int) -> str:
    year, month = divmod(first.month - 1 + place, 12)
    return f"{MONTHS[month]} {first.year + year}"
