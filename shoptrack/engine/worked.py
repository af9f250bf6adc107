"""A pass with its stints and runs → when its tools were at work, two people at it together counted once."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from shoptrack.engine import hours
from shoptrack.engine.replay.timed import Spans, length_min
from shoptrack.engine.shapes import Calendar, Pass, Stint


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time and the minutes of it that count."""

    start: datetime
    end: datetime
    minutes: float


@dataclass(frozen=True, slots=True)
class _Given:
    """The intervals of a stint, and how much of each minute its stage got of it."""

    spans: Spans
    rate: float


def stretches(work: Pass, calendar: Calendar) -> tuple[Stretch, ...]:
    """When the tools of a pass were at work.

    Takes a pass as replay gives it, and the shop's calendar. Gives stretches in order that don't overlap:
    the runs of its machine within hours where it has one, else the counted intervals of its stints, less what
    went to other stages done together and to help. Two people at it together count once, by the mean of what
    the stage got of each. What was said of a finish without a start ends at that finish.
    Empty: nothing of it has ended yet; what goes on has no stretch until then.
    """
    if work.runs:
        return tuple(_of_runs(work, calendar))
    found = (*_by_hand([s for s in work.stints if s.end is not None]), *_said(work))
    return tuple(sorted((s for s in found if s.minutes > 0), key=lambda s: (s.start, s.end)))


def _of_runs(work: Pass, calendar: Calendar) -> Iterator[Stretch]:
    for run in work.runs:
        if run.end is not None:
            for span in hours.counted(calendar, None, run.start, run.end, through_lunch=True):
                yield Stretch(*span, length_min((span,)))


def _by_hand(stints: list[Stint]) -> Iterator[Stretch]:
    given = [
        _Given(s.counted, s.attended_min / length) for s in stints if (length := length_min(s.counted)) > 0
    ]
    single = sorted((*span, one.rate) for one in given for span in one.spans)
    if all(before[1] <= after[0] for before, after in pairwise(single)):
        return (Stretch(a, b, length_min(((a, b),)) * rate) for a, b, rate in single)
    return _shared(single)


def _shared(single: list[tuple[datetime, datetime, float]]) -> Iterator[Stretch]:
    """Stretches of several people, cut wherever one of them comes or goes."""
    instants = sorted({at for a, b, _ in single for at in (a, b)})
    for a, b in pairwise(instants):
        rates = [rate for start, end, rate in single if start <= a and b <= end]
        if rates:
            yield Stretch(a, b, length_min(((a, b),)) * sum(rates) / len(rates))


def _said(work: Pass) -> Iterator[Stretch]:
    """Minutes that were said and lie in no interval: up to the tap that ended them."""
    for stint in work.stints:
        if stint.end is not None and not stint.counted and stint.attended_min > 0:
            yield _up_to(stint.end, stint.attended_min)
    if not work.stints and work.finished_at is not None and work.elapsed_min > 0:
        yield _up_to(work.finished_at, work.elapsed_min)


def _up_to(end: datetime, minutes: float) -> Stretch:
    return Stretch(end - timedelta(minutes=minutes), end, minutes)
