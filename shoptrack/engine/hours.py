"""The shop's weeks, days off, overtime and zone to the instants at which somebody is at work."""

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Generic, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from shoptrack.engine.shapes import Calendar, Week
from shoptrack.errors import BadInput

T = TypeVar("T")
Span = tuple[datetime, datetime]
Spans = tuple[Span, ...]

LOOK_AHEAD_DAYS = 60
_DAY = timedelta(days=1)


class Same(Generic[T]):
    """A shape as a key of a cache: equal only to the very same object, since its mappings have no hash."""

    __slots__ = ("it",)

    def __init__(self, it: T) -> None:
        self.it = it

    def __hash__(self) -> int:
        return id(self.it)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.it is self.it


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as wrong:
        raise BadInput(f"There is no time zone called “{name}”.", "zone") from wrong


def _after_gap(zone: ZoneInfo, low: datetime, high: datetime) -> datetime:
    """The instant in [low, high] at which the zone's offset changes, found by halving."""
    before = low.astimezone(zone).utcoffset()
    seconds = (0, int((high - low).total_seconds()))
    while seconds[1] - seconds[0] > 1:
        middle = sum(seconds) // 2
        same = (low + timedelta(seconds=middle)).astimezone(zone).utcoffset() == before
        seconds = (middle, seconds[1]) if same else (seconds[0], middle)
    return low + timedelta(seconds=seconds[1])


@lru_cache(maxsize=16384)
def _instant(zone_name: str, on: date, at: time) -> datetime:
    zone = _zone(zone_name)
    wall = datetime.combine(on, at.replace(fold=0), zone)
    found = wall.astimezone(UTC)
    if found.astimezone(zone).replace(tzinfo=None) == wall.replace(tzinfo=None):
        return found
    return _after_gap(zone, wall.replace(fold=1).astimezone(UTC), found)


@lru_cache(maxsize=16384)
def _wall_spans(zone_name: str, walls: tuple[tuple[time, time], ...], on: date) -> Spans:
    """Wall times of one day as instants; a span that ends at or before its start ends the next day."""
    found = (
        (_instant(zone_name, on, a), _instant(zone_name, on if a < b else on + _DAY, b)) for a, b in walls
    )
    return _joined(found)


def _joined(found: Iterable[Span]) -> Spans:
    """Spans in order, overlapping or touching ones made one, empty ones dropped."""
    joined: list[Span] = []
    for start, end in sorted(found):
        if end <= start:
            continue
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)


def _week(calendar: Calendar, person: int | None, on: date) -> Week | None:
    """The week in force: the person's newest by then, else the shop's newest, else the shop's first."""
    own = () if person is None else calendar.people.get(person, ())
    by_then = [w for w in own if w.from_on <= on] or [w for w in calendar.shop if w.from_on <= on]
    return max(by_then, key=lambda w: w.from_on, default=calendar.shop[0] if calendar.shop else None)


@lru_cache(maxsize=16384)
def _day(same: Same[Calendar], person: int | None, on: date) -> Spans:
    calendar = same.it
    off = {o.person for o in calendar.off if o.first_on <= on <= o.last_on and o.person in (None, person)}
    week = _week(calendar, person, on)
    planned = () if off or week is None else week.days[on.weekday()]
    extra = _extra(calendar, person, on, away=person is not None and person in off)
    return _wall_spans(calendar.zone, (*planned, *extra), on)


def _extra(calendar: Calendar, person: int | None, on: date, *, away: bool) -> tuple[tuple[time, time], ...]:
    """The overtime of a day on the wall; everybody's is not that of somebody who has the day off alone."""
    whose = (person,) if away else (None, person)
    return tuple((o.opens, o.closes) for o in calendar.overtime if o.on == on and o.person in whose)


def local(calendar: Calendar, at: datetime) -> datetime:
    """What the shop's wall shows at an instant.

    Takes: an aware instant. Gives: the same instant in the shop's zone. Raises: BadInput for an unknown zone.
    """
    return at.astimezone(_zone(calendar.zone))


def instant(calendar: Calendar, on: date, t: time) -> datetime:
    """The instant at which the shop's wall shows a date and time.

    Gives: UTC. Raises: BadInput for an unknown zone.
    Method: a wall time that a change of clocks skips is the first instant after the gap; of one that
    comes twice it is the first.
    """
    return _instant(calendar.zone, on, t)


def day_spans(calendar: Calendar, person: int | None, on: date) -> Spans:
    """The working spans of one local day.

    Takes: a person, or None for the shop; a local date. Gives: UTC spans in order, not clipped; one
    that runs past midnight belongs to the day it starts on. Empty: a day off, or no week set up.
    Method: the week in force, nothing of it on a day off, and the overtime of that day, joined. A person's
    own overtime holds on any day off; everybody's does on the shop's, not on a person's own.
    """
    return _day(Same(calendar), person, on)


def _from_day(calendar: Calendar, person: int | None, at: datetime, days: int) -> Iterator[Span]:
    """Spans of the day before ``at`` (one may run past midnight) and of ``days`` days from its own on."""
    same, first_on = Same(calendar), local(calendar, at).date() - _DAY
    for n in range(days + 1):
        yield from _day(same, person, first_on + n * _DAY)


def spans(calendar: Calendar, person: int | None, start: datetime, end: datetime) -> Spans:
    """The working spans between two instants.

    Takes: a person, or None for the shop. Gives: UTC spans in order, clipped to [start, end), no two
    touching. Empty: nobody works then, or ``end`` is not after ``start``.
    """
    if end <= start:
        return ()
    days = (local(calendar, end).date() - local(calendar, start).date()).days + 1
    found = _from_day(calendar, person, start, days)
    return _joined((max(a, start), min(b, end)) for a, b in found if b > start and a < end)


def worked_min(calendar: Calendar, person: int | None, start: datetime, end: datetime) -> float:
    """Working minutes between two instants; real minutes, so a night of changing clocks counts as it was."""
    return sum((b - a).total_seconds() for a, b in spans(calendar, person, start, end)) / 60


def is_working(calendar: Calendar, person: int | None, at: datetime) -> bool:
    """Whether a person (None: the shop) is within working hours; the closing instant itself is not."""
    return any(a <= at < b for a, b in _from_day(calendar, person, at, 1))


def open_day(calendar: Calendar, on: date) -> Span | None:
    """The first opening and the last closing of the shop on a local day; None when it stays shut."""
    day = day_spans(calendar, None, on)
    return (day[0][0], day[-1][1]) if day else None


def next_opening(calendar: Calendar, person: int | None, at: datetime) -> datetime | None:
    """The first start of a working span at or after an instant.

    Gives: UTC; None when there is none within 60 days.
    """
    return next((a for a, _ in _from_day(calendar, person, at, LOOK_AHEAD_DAYS) if a >= at), None)


def _early(calendar: Calendar, person: int | None, start: datetime, end: datetime) -> Span:
    """What counts of a start tapped outside hours; an empty span where nothing does."""
    if is_working(calendar, person, start):
        return (start, start)
    opening = next_opening(calendar, person, start)
    if opening is None or end <= opening:
        return (start, end)
    same_day = local(calendar, opening).date() == local(calendar, start).date()
    return (start, opening if same_day else start)


def _breaks(calendar: Calendar, person: int | None, start: datetime, end: datetime) -> Iterator[Span]:
    """The stretches between the spans of each single day, clipped to [start, end]."""
    on, last_on = local(calendar, start).date() - _DAY, local(calendar, end).date()
    while on <= last_on:
        day = day_spans(calendar, person, on)
        for (_, a), (b, _) in pairwise(day):
            yield (max(a, start), min(b, end))
        on += _DAY


def counted(
    calendar: Calendar,
    person: int | None,
    start: datetime,
    end: datetime,
    through_lunch: bool = False,
    until: datetime | None = None,
) -> Spans:
    """The intervals of a stint that count as work.

    Takes: the stint's start and end (now, for an open one); ``through_lunch`` when the breaks of a day
    were worked too; ``until`` when somebody worked past closing up to that instant.
    Gives: UTC spans in order within [start, end]. Empty: nothing of it counts.
    Method: the person's working hours; and from a start tapped outside hours when the stint ended in
    that same closed stretch, or when the stretch runs up to an opening on the same local day.
    """
    if end <= start:
        return ()
    found = [*spans(calendar, person, start, end), _early(calendar, person, start, end)]
    if through_lunch:
        found += _breaks(calendar, person, start, end)
    if until is not None and until > start:
        before = spans(calendar, person, start, until)
        found.append((min(before[-1][1] if before else start, end), min(until, end)))
    return _joined(found)
