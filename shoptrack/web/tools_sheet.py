"""Edges and their lives to the lines of a drawing: run hours, a survival curve, lives along the calendar."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shoptrack.engine.shapes.quoted import Range
from shoptrack.flows.tooling.due import DueOf
from shoptrack.flows.tooling.tool_page import SOON_SHARP, Learned, LifeOf
from shoptrack.web.drawing import LETTERS_END
from shoptrack.web.render import MONTHS, Wall
from shoptrack.web.span_lines import Scale, scale_for
from shoptrack.web.tools_words import cut_hours

MIN = 60.0
ACROSS, DOWN = 1000.0, 1000.0
"""The box that a curve is drawn in; it is stretched to the sheet."""
LEAST_SPAN = timedelta(days=30)
MOST_MONTHS = 8
ROOM, ROOM_ON_A_PHONE = 4.5, 14.0
"""So much of the sheet, in percent, the hours of a life take that are written over its line."""


@dataclass(frozen=True, slots=True)
class RunLine:
    """What an edge has run, drawn against what such edges last, in percent of the scale.

    ``from_x`` to ``to_x`` is where eight in ten that are not dull yet end, half by ``middle_x``; None: it
    was found dull. ``usual_x`` is the usual life; ``runs_on``: nine in ten is off the scale.
    """

    run_x: float
    words: str
    at_end: bool
    from_x: float | None
    middle_x: float | None
    to_x: float | None
    usual_x: float | None
    runs_on: bool


def hours_scale(dues: Iterable[DueOf]) -> Scale:
    """One scale for all the lines, in minutes, so that a longer line is more hours on an edge."""
    known = list(dues)
    ranges = [_ends(due) for due in known]
    return _from_nought(scale_for(ranges, [due.usual_h * MIN for due in known]))


def _from_nought(scale: Scale) -> Scale:
    """The same, its first tick in hours as the others are."""
    return replace(scale, ticks=((0.0, "0 h"), *scale.ticks[1:]))


def _ends(due: DueOf) -> Range:
    age, left = due.stands.effective_h, due.left_h
    ends = (left.p10_h, left.p50_h, left.p90_h) if left is not None else (0.0, 0.0, 0.0)
    p10, p50, p90 = ((age + each) * MIN for each in ends)
    return Range(p10, p50, p90, p90)


def run_line(scale: Scale, due: DueOf) -> RunLine:
    """The line of one edge on the scale."""
    run_x, ends, is_known = scale.x(due.stands.effective_h * MIN), _ends(due), due.left_h is not None
    usual_min = due.usual_h * MIN
    return RunLine(
        run_x=run_x,
        words=cut_hours(due.stands.effective_h),
        at_end=run_x > LETTERS_END,
        from_x=scale.x(ends.p10) if is_known else None,
        middle_x=scale.x(ends.p50) if is_known else None,
        to_x=scale.x(ends.p90) if is_known else None,
        usual_x=scale.x(usual_min) if usual_min <= scale.longest_min else None,
        runs_on=ends.p90 > scale.longest_min,
    )


@dataclass(frozen=True, slots=True)
class CurveSheet:
    """A survival curve: paths in a box of 1000 by 1000, marks in percent across and down.

    ``band`` is where eight in ten of the curves lie that may be the true one; ``soon`` where one in five is
    dull, ``now`` what the edge that is on the tool has run; None: it is dull, or there is none.
    """

    path: str
    band: str
    ticks: tuple[tuple[float, str], ...]
    soon: tuple[float, float]
    soon_words: str
    now: tuple[float, float] | None
    now_words: str
    usual_x: float | None


def curve_sheet(learned: Learned) -> CurveSheet:
    """The drawing of what was learned of a tool's edges."""
    drawn = learned.curve
    until = float(drawn.hours[-1]) * MIN
    scale = _from_nought(scale_for([Range(0, 0, until, until)]))
    across = scale.longest_min / MIN

    def x(hours: float) -> float:
        return round(min(hours / across, 1.0) * 100, 2)

    now, hours = None, drawn.hours.tolist()
    back = _points(hours[::-1], drawn.low.tolist()[::-1], across)
    if learned.age_h is not None and learned.sharp_now is not None:
        now = (x(learned.age_h), _down(learned.sharp_now))
    return CurveSheet(
        path="M" + _points(hours, drawn.sharp.tolist(), across),
        band=f"M{_points(hours, drawn.high.tolist(), across)}L{back}Z",
        ticks=scale.ticks,
        soon=(x(learned.soon_at_h), _down(SOON_SHARP)),
        soon_words=cut_hours(learned.soon_at_h),
        now=now,
        now_words="" if learned.age_h is None else cut_hours(learned.age_h),
        usual_x=x(learned.usual_h) if learned.usual_h <= across else None,
    )


def _down(sharp: float) -> float:
    return round((1 - sharp) * 100, 2)


def _points(hours: Iterable[float], sharp: Iterable[float], across: float) -> str:
    """Points of a path in the box: so many hours across is its whole width."""
    placed = zip(hours, sharp, strict=True)
    return "L".join(f"{h / across * ACROSS:.1f} {(1 - s) * DOWN:.1f}" for h, s in placed)


@dataclass(frozen=True, slots=True)
class DrawnLife:
    """A life as a dimension line along the calendar, its run hours over the middle, where there is room.

    ``spare``: there is none on a phone.
    """

    life: LifeOf
    x: float
    to_x: float
    words: str
    fits: bool
    spare: bool
    goes_on: bool
    deeds: tuple[float, ...]

    @property
    def middle(self) -> float:
        """Where its hours are written."""
        return round((self.x + self.to_x) / 2, 2)


@dataclass(frozen=True, slots=True)
class LivesSheet:
    """All lives of a tool's edges along one calendar: months as ticks, a row an edge."""

    ticks: tuple[tuple[float, str], ...]
    rows: tuple[tuple[str, tuple[DrawnLife, ...]], ...]


def lives_sheet(lives: Sequence[LifeOf], now: datetime, wall: Wall) -> LivesSheet | None:
    """The drawing of all lives; None where there are none."""
    if not lives:
        return None
    start = min(min(_begun(one, now) for one in lives), now - LEAST_SPAN)
    span = (now - start).total_seconds()

    def x(at: datetime) -> float:
        return round(min(max((at - start).total_seconds() / span, 0.0), 1.0) * 100, 2)

    rows: dict[str, list[DrawnLife]] = {}
    for one in lives:
        rows.setdefault(one.edge, []).append(_drawn(one, now, x))
    months = _months(wall.local(start).date(), wall.local(now).date())
    ticks = tuple((x(_midnight(on, wall)), words) for on, words in zip(months, _named(months), strict=True))
    return LivesSheet(ticks, tuple((edge, tuple(own)) for edge, own in rows.items()))


def _begun(one: LifeOf, now: datetime) -> datetime:
    """When a life began; one of which nobody said when, with the first that was said of it."""
    return one.life.from_at or min((*one.deeds, one.life.until_at or now))


def _drawn(one: LifeOf, now: datetime, x: Callable[[datetime], float]) -> DrawnLife:
    from_x, to_x = x(_begun(one, now)), x(one.life.until_at or now)
    return DrawnLife(
        life=one,
        x=from_x,
        to_x=to_x,
        words=cut_hours(one.life.run_h),
        fits=to_x - from_x >= ROOM,
        spare=to_x - from_x < ROOM_ON_A_PHONE,
        goes_on=one.life.until_at is None,
        deeds=tuple(x(at) for at in one.deeds),
    )


def _months(first: date, last: date) -> list[date]:
    """The firsts of months after one day up to another, thinned to a few."""
    found = []
    year, month = first.year, first.month
    while (year, month) < (last.year, last.month):
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
        found.append(date(year, month, 1))
    return found[:: max(1, -(-len(found) // MOST_MONTHS))]


def _named(months: Sequence[date]) -> list[str]:
    """Months by their names, with the year at the first of each new one: "Oct", "Jan 27", "Apr"."""
    before = [months[0].year, *(on.year for on in months)] if months else []
    return [
        MONTHS[on.month - 1] + ("" if on.year == year else f" {on.year % 100:02d}")
        for on, year in zip(months, before, strict=False)
    ]


def _midnight(on: date, wall: Wall) -> datetime:
    return datetime.combine(on, time(0), ZoneInfo(wall.zone))
