"""The rows of a plan to the lines of a drawing: dimension lines by person, cures through the night.

Across is in percent of a row's width, the working hours of all days on one scale.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.engine.units import minutes_words
from shoptrack.flows.planning.lanes import Lane, MachineRun, Piece, Spans
from shoptrack.flows.planning.nights import Curing
from shoptrack.flows.planning.view import DayRow, Night, PlanView
from shoptrack.web.drawing import Tick
from shoptrack.web.plan_words import day_month, weekday
from shoptrack.web.render import Wall, clock

USUAL_HOURS = (timedelta(hours=8), timedelta(hours=17))
HOUR = timedelta(hours=1)
ROOM_FOR_LENGTH = 7.5  # percent that the length of a stretch takes on it
ROOM_WHEN_NARROW = 9.0
LEAST_LABEL = 2.4
LEAST_LABEL_TODAY = 4.0  # today is lettered larger
ROOM_FOR_WORDS = 6.0
ROOM_FOR_TAG = 3.4
ROOM_FOR_LARGE = 11.0  # that words in today's large letters take
LABEL_TO_THE_LEFT = 60.0


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece as a dimension line: its stretches, room for its label, its length where that fits.

    ``length_at`` is the middle of its longest stretch; ``spare``: too narrow for a tablet held upright.
    ``tag_only``: there is room for the tag of its job and no more; ``small``: hardly for that. ``silent``:
    not even, and the piece before is of the same job. ``tight``: too narrow for large letters. ``label_x`` is
    where its label begins: to the right of the piece where the label before reaches past its beginning.
    ``last``: no other comes after it.
    """

    piece: Piece
    stretches: tuple[tuple[float, float], ...]
    label_x: float
    label_width: float
    length: str
    length_at: float
    spare: bool
    tag_only: bool
    small: bool
    silent: bool
    tight: bool
    last: bool

    @property
    def x(self) -> float:
        """Where it begins."""
        return self.stretches[0][0]

    @property
    def to_x(self) -> float:
        """Where it ends."""
        return self.stretches[-1][1]


@dataclass(frozen=True, slots=True)
class LaneLines:
    """A person's day as it is drawn: the hours as a thin line, the pieces on it.

    ``done`` are stretches that are over, with the tag of their job where it fits.
    """

    lane: Lane
    done: tuple[tuple[float, float, str], ...]
    hours: tuple[tuple[float, float], ...]
    pieces: tuple[PieceLine, ...]


@dataclass(frozen=True, slots=True)
class RunLine:
    """A machine at work by itself, from ``x`` to ``to_x``; ``at_end``: its words end at the right edge.

    ``until`` is its end in words; ``runs_on``: it lies on another day.
    """

    run: MachineRun
    x: float
    to_x: float
    at_end: bool
    until: str
    runs_on: bool


@dataclass(frozen=True, slots=True)
class CureAcross:
    """A cure across the night: hatching while clamps are held, a centre line to where the job goes on.

    ``ticks`` are its marks; ``runs_on``: the last lies past the night. ``off``, ``next`` and ``by`` are its
    marks in words; empty where it has none.
    """

    cure: Curing
    x: float
    clamps_to: float | None
    to_x: float
    ticks: tuple[float, ...]
    runs_on: bool
    off: str
    next: str
    by: str


@dataclass(frozen=True, slots=True)
class NightLines:
    """A night as it is drawn; ``hours`` how long it is, ``more`` what of it is not drawn."""

    night: Night
    lasts: str
    cures: tuple[CureAcross, ...]
    more: int


@dataclass(frozen=True, slots=True)
class DayLines:
    """A day as it is drawn: hours across its top, now on it, lanes, machines, its night."""

    row: DayRow
    hours: tuple[Tick, ...]
    now_x: float | None
    lanes: tuple[LaneLines, ...]
    runs: tuple[RunLine, ...]
    night: NightLines | None


@dataclass(frozen=True, slots=True)
class Scale:
    """The working hours across the sheet: the time of day at the left, and how long it is to the right."""

    first: timedelta
    length: timedelta

    def base(self, row: DayRow, wall: Wall) -> datetime:
        """The instant at the left edge on a day, whether or not the clocks changed in the night before."""
        opens = min(each.hours[0][0] for each in row.lanes if each.hours)
        return opens - (since_midnight(opens, wall) - self.first)


def since_midnight(at: datetime, wall: Wall) -> timedelta:
    """The time of day on the wall."""
    local = wall.local(at)
    return timedelta(hours=local.hour, minutes=local.minute)


def scale_of(days: Sequence[DayRow], wall: Wall) -> Scale:
    """A scale that holds the hours of every day, in whole hours. Empty: nine hours from eight."""
    spans = [s for row in days for each in row.lanes for s in each.hours]
    if not spans:
        return Scale(USUAL_HOURS[0], USUAL_HOURS[1] - USUAL_HOURS[0])
    first = min(since_midnight(a, wall) for a, _ in spans) // HOUR * HOUR
    ends = [
        each.hours[-1][1] - each.hours[0][0] + since_midnight(each.hours[0][0], wall)
        for row in days
        for each in row.lanes
        if each.hours
    ]
    length = max(max(ends) - first, HOUR)
    return Scale(first, -(-length // HOUR) * HOUR)


@dataclass(frozen=True, slots=True)
class _Across:
    """A stretch of time drawn from 0 to 100 percent."""

    start: datetime
    end: datetime

    def x(self, at: datetime) -> float:
        share = (at - self.start) / (self.end - self.start)
        return round(min(max(share, 0.0), 1.0) * 100, 2)

    def all(self, spans: Spans) -> tuple[tuple[float, float], ...]:
        return tuple((self.x(a), self.x(b)) for a, b in spans)


def day_lines(row: DayRow, view: PlanView, scale: Scale, wall: Wall, nights: int) -> DayLines:
    """A day as it is drawn, with at most so many cures in its night."""
    if not row.works:
        return DayLines(row, (), None, (), (), None)
    base = scale.base(row, wall)
    across = _Across(base, base + scale.length)
    now_x = across.x(view.at) if row.today and across.start < view.at < across.end else None
    return DayLines(
        row=row,
        hours=tuple(_ticks(across)),
        now_x=now_x,
        lanes=tuple(
            _lane(across, each, LEAST_LABEL_TODAY if row.today else LEAST_LABEL) for each in row.lanes
        ),
        runs=tuple(_runs(across, row, wall)),
        night=None if row.night is None else _night(row.night, nights, view.at, wall),
    )


def _ticks(across: _Across) -> Iterator[Tick]:
    at = across.start
    while at <= across.end:
        yield Tick(across.x(at), at)
        at += HOUR


def _lane(across: _Across, of: Lane, least: float) -> LaneLines:
    starts = [across.x(p.from_at) for p in of.pieces] + [100.0]
    tags = ["", *(p.named.tag for p in of.pieces)]
    pieces, taken = [], 0.0
    for n, piece in enumerate(of.pieces):
        same = tags[n] == tags[n + 1]
        pieces.append(_piece(across, piece, max(starts[n], taken), starts[n + 1], same))
        taken = taken if pieces[-1].silent else pieces[-1].label_x + least
    return LaneLines(of, tuple(_done(across, of)), across.all(of.hours), tuple(pieces))


def _done(across: _Across, of: Lane) -> Iterator[tuple[float, float, str]]:
    taken = 0.0
    for each in of.done:
        x, to_x = across.x(each.from_at), across.x(each.to_at)
        fits = x >= taken
        taken = x + LEAST_LABEL if fits else taken
        yield x, to_x, each.tag if fits else ""


def _piece(across: _Across, piece: Piece, label_x: float, next_x: float, same: bool) -> PieceLine:
    stretches = across.all(piece.stretches)
    longest = max(stretches, key=lambda s: s[1] - s[0])
    wide = longest[1] - longest[0]
    room = round(max(next_x - label_x, LEAST_LABEL), 2)
    return PieceLine(
        piece=piece,
        stretches=stretches,
        label_x=round(label_x, 2),
        label_width=room,
        length=minutes_words(piece.minutes) if wide >= ROOM_FOR_LENGTH else "",
        length_at=round(sum(longest) / 2, 2),
        spare=wide < ROOM_WHEN_NARROW,
        tag_only=room < ROOM_FOR_WORDS,
        small=room < ROOM_FOR_TAG,
        silent=room < ROOM_FOR_WORDS and same,
        tight=room < ROOM_FOR_LARGE,
        last=next_x == 100.0,
    )


def _runs(across: _Across, row: DayRow, wall: Wall) -> Iterator[RunLine]:
    for run in row.runs:
        x, to_x = across.x(run.from_at), across.x(run.to_at)
        on = wall.local(run.to_at).date()
        until = clock(run.to_at, wall) if on == row.on else f"{weekday(on)} {clock(run.to_at, wall)}"
        yield RunLine(run, x, to_x, x > LABEL_TO_THE_LEFT, until, on != row.on)


def _night(night: Night, most: int, now: datetime, wall: Wall) -> NightLines:
    across = _Across(night.from_at, night.to_at)
    cures = tuple(_cure(across, c, now, wall) for c in night.cures[:most])
    lasts = minutes_words((night.to_at - night.from_at).total_seconds() / 60)
    return NightLines(night, lasts, cures, max(0, len(night.cures) - most))


def _cure(across: _Across, cure: Curing, now: datetime, wall: Wall) -> CureAcross:
    marks = [at for at in (cure.off_at, cure.next_at) if at is not None]
    return CureAcross(
        cure=cure,
        x=across.x(cure.since),
        clamps_to=None if cure.off_at is None else across.x(cure.off_at),
        to_x=across.x(cure.until_at),
        ticks=tuple(across.x(at) for at in marks if across.start < at <= across.end),
        runs_on=cure.until_at > across.end,
        off="clamps may come off"
        if cure.off_at and cure.off_at <= now
        else _mark(across, cure.off_at, wall, "off "),
        next=_mark(across, cure.next_at, wall),
        by=_mark(across, cure.by_at, wall),
    )


def _mark(across: _Across, at: datetime | None, wall: Wall, lead: str = "") -> str:
    """An instant of a night by its time of day; past it, or before it, with its day."""
    if at is None:
        return ""
    on = wall.local(at).date()
    if across.start <= at <= across.end or on == wall.local(across.start).date():
        return lead + clock(at, wall)
    near = abs(at - across.start) < timedelta(days=6)
    return f"{lead}{weekday(on) if near else day_month(on)} {clock(at, wall)}"
