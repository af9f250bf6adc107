"""What a job still takes → its dimension line with the range of its end, and the words beside it."""

from dataclasses import dataclass

from shoptrack.engine.shapes.quoted import Range
from shoptrack.flows.forecast import Forecast

HALF = "½"
GAP = "\N{NO-BREAK SPACE}"  # a number and its unit stay on one line


@dataclass(frozen=True, slots=True)
class Reach:
    """A range across the sheet in percent: from one in ten over the middle to nine in ten."""

    low_x: float
    middle_x: float
    high_x: float
    words: str


@dataclass(frozen=True, slots=True)
class ForecastSheet:
    """The hours of a job: worked up to ``spent_x``, its end within ``all``, and as said when it began.

    ``untested`` are the stages to come of which none of this pattern was logged.
    """

    spent_x: float
    spent_min: float
    all: Reach
    first: Reach | None
    still: str
    untested: tuple[str, ...]


def sheet_of(told: Forecast) -> ForecastSheet:
    """The drawing of a job's hours."""
    whole = max(told.all_min.p90, told.first_min.p90 if told.first_min else 0.0, 1.0)
    return ForecastSheet(
        spent_x=across(told.spent_min, whole),
        spent_min=told.spent_min,
        all=reach(told.all_min, whole),
        first=reach(told.first_min, whole) if told.first_min else None,
        still=still(told.to_come_min),
        untested=tuple(s.name for s in told.stages if told.untested and s.foretold.untested),
    )


def reach(of: Range, whole_min: float) -> Reach:
    """A range as it lies on a line of so many minutes."""
    low, middle, high = (across(minutes, whole_min) for minutes in (of.p10, of.p50, of.p90))
    return Reach(low, middle, high, between(of.p10, of.p90))


def across(minutes: float, whole_min: float) -> float:
    """How far across in percent."""
    return round(minutes / whole_min * 100, 2)


def still(to_come: Range) -> str:
    """The hours still to come: "still 6–9 h of hands, half under 7 h"."""
    if to_come.p90 < 1:
        return "nothing for hands to come"
    low_high, middle = between(to_come.p10, to_come.p90), about(to_come.p50)
    if low_high == middle:
        return f"still about {middle} of hands"
    return f"still {low_high} of hands, half under {middle}"


def to_come(told: Forecast) -> str:
    """The same in as few words as can be: "7 h to come"; nothing where nothing is."""
    return f"{about(told.to_come_min.p50)} to come" if told.to_come_min.p90 >= 1 else ""


def about(minutes: float) -> str:
    """Minutes that nobody knows to the minute: 5 min, 40 min, 2½ h, 17 h."""
    if minutes < 57.5:
        return f"{max(5 * round(minutes / 5), 5)}{GAP}min"
    if minutes >= 585:
        return f"{round(minutes / 60)}{GAP}h"
    whole, half = divmod(round(minutes / 30), 2)
    return f"{whole}{HALF if half else ''}{GAP}h"


def between(low_min: float, high_min: float) -> str:
    """A range of such minutes: 6–9 h, 40 min–1½ h; one alone where both are told alike."""
    low, high = about(low_min), about(high_min)
    if low == high:
        return low
    number, _, unit = low.partition(GAP)
    return f"{number}–{high}" if high.endswith(GAP + unit) else f"{low}–{high}"
