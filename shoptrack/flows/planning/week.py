"""The plan → one person's week for paper: each day's stages in order, and what cures through its night."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.hours import local
from shoptrack.engine.shapes import OffDays
from shoptrack.errors import NotFound
from shoptrack.flows.places import cautions_of
from shoptrack.flows.planning.lanes import Piece, Spans
from shoptrack.flows.planning.nights import Curing
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.planning.view import DayRow, rows_of
from shoptrack.flows.shopfloor import Sight

A_WEEK = 7


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One stage on one day: ``cure`` begins with it where it is a glue-up or a coat done that day."""

    piece: Piece
    title: str
    settings: str
    cautions: tuple[str, ...]
    cure: Curing | None


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of a person: their hours, their stages, and what cures in the night after it."""

    on: date
    hours: Spans
    lines: tuple[WeekLine, ...]
    why: str
    night: tuple[Curing, ...]


@dataclass(frozen=True, slots=True)
class WeekOf:
    """A person's week by the plan of ``made_at``, Monday to Sunday, from ``first_on`` on."""

    person: int
    name: str
    first_on: date
    days: tuple[WeekDay, ...]
    at: datetime
    made_at: datetime


def week_of(
    sight: Sight,
    planned: Planned,
    person: int,
    on: date | None,
    reasons: Sequence[tuple[OffDays, str]] = (),
) -> WeekOf:
    """The week, Monday first, in which a day lies, this week's where none is said.

    Raises NotFound for somebody who is not at work here. Days that are over are left out.
    """
    who = sight.world.people.get(person)
    if who is None or who.retired:
        raise NotFound("There is nobody of that name who works here.")
    today = local(sight.world.calendar, sight.now).date()
    monday = (on or today) - timedelta(days=(on or today).weekday())
    first = max(monday, today) if monday + timedelta(days=A_WEEK) > today else monday
    count = (monday - first).days + A_WEEK
    rows = rows_of(sight, planned, first, count, reasons)
    days = tuple(_day(sight, row, person) for row in rows)
    return WeekOf(person, who.name, monday, days, sight.now, planned.made_at)


def _day(sight: Sight, row: DayRow, person: int) -> WeekDay:
    own = next((each for each in row.lanes if each.person == person), None)
    pieces = own.pieces if own is not None else ()
    away = next((why for name, why in row.away if own is not None and name == own.name), row.closed)
    return WeekDay(
        on=row.on,
        hours=own.hours if own is not None else (),
        lines=tuple(_line(sight, piece, row) for piece in pieces),
        why=away or "",
        night=row.night.cures if row.night else (),
    )


def _line(sight: Sight, piece: Piece, row: DayRow) -> WeekLine:
    stage = sight.world.stages[piece.named.stage]
    cures = row.cures if not piece.goes_on else ()
    return WeekLine(
        piece=piece,
        title=sight.world.jobs[stage.job].title,
        settings=stage.settings,
        cautions=cautions_of(stage, sight.now),
        cure=next((c for c in cures if c.named.task == piece.named.task), None),
    )
