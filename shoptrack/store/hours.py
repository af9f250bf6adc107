"""Working weeks and days off → who said them when; days off taken back."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import pairwise

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.edits import note_change, note_made
from shoptrack.store.shop import WorkingDays, add_day_off, set_week
from shoptrack.store.tables import DayOffRow, WeekRow

DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
Spans = tuple[tuple[time, time], ...]


@dataclass(frozen=True, slots=True)
class WeekSaid:
    """A working week as it was said: from when on, and the spans of each day, Monday first."""

    from_on: date
    days: tuple[Spans, ...]

    @property
    def minutes(self) -> int:
        """The working minutes of the week."""
        return sum(_minutes(closes) - _minutes(opens) for spans in self.days for opens, closes in spans)


def weeks_of(session: Session, person: int | None) -> list[WeekSaid]:
    """The weeks of a person, or of the shop, oldest first."""
    rows = _rows(session, person)
    return [
        WeekSaid(on, _days(row for row in rows if row.from_on == on))
        for on in sorted({row.from_on for row in rows})
    ]


def week_on(weeks: list[WeekSaid], on: date) -> WeekSaid | None:
    """The week that holds on a day: the newest said for then or earlier, else the first; None without any."""
    before = [week for week in weeks if week.from_on <= on]
    return before[-1] if before else next(iter(weeks), None)


def say_week(
    session: Session, *, from_on: date, days: WorkingDays, person: int | None, who: int | None, now: datetime
) -> bool:
    """Say the working week of a person, or of the shop, from a date on, with its line of history.

    Gives whether anything changed. Raises BadInput when spans of a day overlap, else as set_week does.
    """
    _refuse_overlap(days)
    said = tuple(tuple(sorted(spans)) for spans in days)
    weeks = weeks_of(session, person)
    before = [week for week in weeks if week.from_on <= from_on]
    if before and before[-1].days == said:
        return False
    set_week(session, from_on=from_on, days=said, person=person)
    row = next(row for row in _rows(session, person) if row.from_on == from_on)
    was = week_words(before[-1].days) if before else None
    note_change(session, row, who, now, "week", was, week_words(said), why=f"from {from_on.isoformat()}")
    return True


def week_words(days: Iterable[Spans], clock: Callable[[time], str] | None = None) -> str:
    """A week in one line: "Mon–Fri 8:00–12:00, 12:30–16:30; Sat–Sun no work".

    ``clock`` says how a time of day is written; plain 24 hours else.
    """
    runs: list[tuple[list[str], Spans]] = []
    for name, spans in zip(DAY_NAMES, days, strict=True):
        if runs and runs[-1][1] == spans:
            runs[-1][0].append(name[:3])
        else:
            runs.append(([name[:3]], spans))
    return "; ".join(f"{_stretch(names)} {_spans_words(spans, clock or _clock)}" for names, spans in runs)


def _spans_words(spans: Spans, clock: Callable[[time], str]) -> str:
    return ", ".join(f"{clock(a)}–{clock(b)}" for a, b in spans) or "no work"


def say_day_off(
    session: Session,
    *,
    first_on: date,
    last_on: date,
    person: int | None,
    reason: str,
    who: int | None,
    now: datetime,
) -> bool:
    """Add days off with their line of history; the very same again adds nothing. Gives whether it did.

    Raises BadInput when the last day is before the first.
    """
    same = select(DayOffRow.id).where(
        DayOffRow.person_id.is_not_distinct_from(person),
        DayOffRow.first_on == first_on,
        DayOffRow.last_on == last_on,
    )
    if session.scalar(same.limit(1)) is not None:
        return False
    row = add_day_off(session, first_on=first_on, last_on=last_on, person=person, reason=reason)
    note_made(session, row, who, now)
    return True


def take_back(session: Session, day_off: int, who: int | None, now: datetime) -> date | None:
    """Take days off back; their line of history says which they were.

    Gives their first day; None when they have been taken back already.
    """
    row = session.get(DayOffRow, day_off)
    if row is None:
        return None
    until = f"–{row.last_on.isoformat()}" if row.last_on != row.first_on else ""
    words = f"{row.first_on.isoformat()}{until} {row.reason}".strip()
    note_change(session, row, who, now, "taken back", words, None)
    session.delete(row)
    session.flush()
    return row.first_on


def days_off(session: Session) -> list[DayOffRow]:
    """All days off, the latest first."""
    order = (DayOffRow.first_on.desc(), DayOffRow.id.desc())
    return list(session.scalars(select(DayOffRow).order_by(*order)))


def _rows(session: Session, person: int | None) -> list[WeekRow]:
    whose = WeekRow.person_id.is_not_distinct_from(person)
    return list(session.scalars(select(WeekRow).where(whose).order_by(WeekRow.from_on, WeekRow.id)))


def _days(rows: Iterable[WeekRow]) -> tuple[Spans, ...]:
    spans: dict[int, list[tuple[time, time]]] = {day: [] for day in range(7)}
    for row in rows:
        if row.opens is not None and row.closes is not None:
            spans[row.weekday].append((row.opens, row.closes))
    return tuple(tuple(sorted(spans[day])) for day in range(7))


def _refuse_overlap(days: WorkingDays) -> None:
    for number, spans in enumerate(days):
        ordered = sorted(spans)
        for (_, closes), (opens, _) in pairwise(ordered):
            if opens < closes:
                raise BadInput(f"On {DAY_NAMES[number]} two stretches of work overlap.", f"day-{number}")


def _stretch(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]}–{names[-1]}"


def _clock(at: time) -> str:
    return f"{at.hour}:{at.minute:02d}"


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
