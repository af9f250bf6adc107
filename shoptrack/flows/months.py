"""The shop's months: the open one's running figures, closing one, and what came out otherwise since."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.engine import hours
from shoptrack.engine.shapes import Calendar
from shoptrack.errors import NotFound, Refused
from shoptrack.flows.month_figures import Figure, Office, by_month, next_month, office_figures, work_figures
from shoptrack.store import months
from shoptrack.store.db import Store
from shoptrack.store.names import people_names
from shoptrack.store.shop import shop_row
from shoptrack.store.tables import MonthRow

TOUCHED_BEFORE, TOUCHED_AFTER = timedelta(days=2), timedelta(days=14)
"""How far around a late entry the minutes of other taps may change: help before it, an open stint after."""

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Correction:
    """A figure of a closed month that came out otherwise since: by how much."""

    month_on: date
    figure: Figure


@dataclass(frozen=True, slots=True)
class MonthView:
    """A month's page. ``corrections`` are of earlier months, and count in this one.

    ``closed_at`` None: it is open, and its figures run until now. ``may_close``: it is over, and the next in
    order.
    """

    first_on: date
    name: str
    figures: tuple[Figure, ...]
    corrections: tuple[Correction, ...]
    closed_at: datetime | None = None
    closed_by: str = ""
    may_close: bool = False

    def group(self, name: str) -> tuple[Figure, ...]:
        """The figures of one group, in their order."""
        return tuple(f for f in self.figures if f.group == name)


@dataclass(frozen=True, slots=True)
class MonthLine:
    """A month in the list."""

    first_on: date
    name: str
    closed_at: datetime | None


def named(first_on: date) -> str:
    """A month as it is said: "November 2026"."""
    return f"{MONTHS[first_on.month - 1]} {first_on.year}"


def list_months(session: Session, now: datetime) -> tuple[MonthLine, ...]:
    """All months from the shop's first to the running one, the newest first. Empty: nothing began yet."""
    closed = {row.first_on: row.closed_at for row in months.closed_months(session)}
    first, running = _first_month(session), _month_at(_calendar(session), now)
    lines, on = [], first or running
    while on <= running:
        lines.append(MonthLine(on, named(on), closed.get(on)))
        on = next_month(on)
    return tuple(reversed(lines))


def month_view(session: Session, first_on: date, now: datetime) -> MonthView:
    """One month. A closed one says what it said when it was closed.

    Raises NotFound for a month before the shop's first or after the running one.
    """
    closed = months.closed_months(session)
    row = next((row for row in closed if row.first_on == first_on), None)
    if row is not None:
        return _as_closed(session, row)
    calendar = _calendar(session)
    running, oldest = _month_at(calendar, now), next_to_close(session, now)
    if not oldest <= first_on <= running:
        raise NotFound("There is no such month in this shop’s book.")
    return MonthView(
        first_on=first_on,
        name=named(first_on),
        figures=_figures(session, calendar, first_on, now),
        corrections=corrections(session, now) if first_on == oldest else (),
        may_close=first_on == oldest and first_on < running,
    )


def next_to_close(session: Session, now: datetime) -> date:
    """The oldest month that is not closed."""
    closed = months.closed_months(session)
    if closed:
        return next_month(closed[-1].first_on)
    return _first_month(session) or _month_at(_calendar(session), now)


def close_month(store: Store, first_on: date, who: int | None, now: datetime) -> None:
    """Close a month with its figures and the corrections of earlier ones; closed already: nothing changes.

    Raises Refused for the running month or one that is not the next in order.
    """
    with store.reading() as session:
        if any(row.first_on == first_on for row in months.closed_months(session)):
            return
        # read before the figures are: what comes meanwhile is a correction later on
        place = months.newest_entry(session)
        view = month_view(session, first_on, now)
        if not view.may_close:
            oldest = named(next_to_close(session, now))
            running = first_on == _month_at(_calendar(session), now)
            raise Refused(
                f"{view.name} is not over yet." if running else f"{oldest} is still open: close it first."
            )
    with store.writing() as session:
        if all(row.first_on != first_on for row in months.closed_months(session)):
            months.add_month(session, first_on, _kept(view, place), who, now)


def corrections(session: Session, now: datetime) -> tuple[Correction, ...]:
    """What closed months' figures would be by now, less what they and later months say they are.

    Figures of the office's rows are reckoned anew for each month, those of the log only for months that
    something written since may have changed. Empty: no month is closed, or nothing changed.
    """
    closed = months.closed_months(session)
    if not closed:
        return ()
    calendar = _calendar(session)
    office = _office(session, calendar)
    touched = _touched(session, calendar, closed)
    found: list[Correction] = []
    for row in closed:
        known = known_by_now(closed, row)
        by_now = {f.key: f for f in office_figures(office, row.first_on)}
        if row.first_on in touched:
            by_now |= {f.key: f for f in work_figures(session, calendar, row.first_on, now)}
        else:
            by_now |= {k: f for k, f in known.items() if _of_the_log(f)}
        found += [Correction(row.first_on, f) for f in _differences(by_now, known)]
    return tuple(found)


def _differences(by_now: Mapping[str, Figure], known: Mapping[str, Figure]) -> Iterable[Figure]:
    for key in [*by_now, *(k for k in known if k not in by_now)]:
        figure = by_now.get(key) or known[key]
        said = known[key].value if key in known else 0
        value = by_now[key].value if key in by_now else 0
        if value != said:
            yield replace(figure, value=value - said)


def _of_the_log(figure: Figure) -> bool:
    return figure.group not in ("closed", "off", "delivered", "earned", "owed", "spent")


def known_by_now(closed: Sequence[MonthRow], row: MonthRow) -> dict[str, Figure]:
    """A closed month's figures with all corrections of it that later months have taken up."""
    known = {f.key: f for f in _figures_of(row.figures["figures"])}
    for later in closed:
        for c in _corrections_of(later):
            if c.month_on == row.first_on:
                before = known.get(c.figure.key, replace(c.figure, value=0))
                known[c.figure.key] = replace(before, value=before.value + c.figure.value)
    return known


def _touched(session: Session, calendar: Calendar, closed: Sequence[MonthRow]) -> set[date]:
    """The closed months whose minutes may have changed since the newest was closed."""
    newest = closed[-1]
    instants = _instants_since(session, newest.figures["place"])
    changed_from = months.hours_changed_from(session, newest.closed_at)
    found = set()
    for row in closed:
        first_at = hours.instant(calendar, row.first_on, time(0)) - TOUCHED_AFTER
        until_at = hours.instant(calendar, next_month(row.first_on), time(0)) + TOUCHED_BEFORE
        by_hours = changed_from is not None and changed_from < next_month(row.first_on)
        if by_hours or any(first_at <= at < until_at for at in instants):
            found.add(row.first_on)
    return found


def _instants_since(session: Session, place: int) -> set[datetime]:
    """The instants that entries since a place in the log are about, through chains of strikes and moves."""
    late = months.entries_since(session, place)
    instants: set[datetime] = set()
    seen: set[str] = set()
    while late:
        instants |= {at for e in late for at in (e.at, e.to_at) if at is not None}
        ids = {e.of for e in late if e.of is not None} - seen
        seen |= ids
        late = months.entries_named(session, ids)
    return instants


def _figures(session: Session, calendar: Calendar, first_on: date, now: datetime) -> tuple[Figure, ...]:
    return (
        *office_figures(_office(session, calendar), first_on),
        *work_figures(session, calendar, first_on, now),
    )


def _office(session: Session, calendar: Calendar) -> Office:
    return by_month(months.jobs_sold(session), months.spent_by_day(session), calendar)


def _as_closed(session: Session, row: MonthRow) -> MonthView:
    return MonthView(
        first_on=row.first_on,
        name=named(row.first_on),
        figures=_figures_of(row.figures["figures"]),
        corrections=_corrections_of(row),
        closed_at=row.closed_at,
        closed_by=people_names(session).get(row.person_id or 0, ""),
    )


def _kept(view: MonthView, place: int) -> dict[str, Any]:
    """A month as it is kept for good: its figures, what it took up of earlier ones, how far the log went."""
    return {
        "figures": [[f.key, f.words, f.unit, f.value] for f in view.figures],
        "corrections": [
            [c.month_on.isoformat(), c.figure.key, c.figure.words, c.figure.unit, c.figure.value]
            for c in view.corrections
        ],
        "place": place,
    }


def _figures_of(kept: Any) -> tuple[Figure, ...]:
    return tuple(Figure(*line) for line in kept)


def _corrections_of(row: MonthRow) -> tuple[Correction, ...]:
    lines = row.figures["corrections"]
    return tuple(Correction(date.fromisoformat(on), Figure(*figure)) for on, *figure in lines)


def _calendar(session: Session) -> Calendar:
    """The shop's zone; its hours are not needed to say where a month begins."""
    return Calendar(shop_row(session).zone, ())


def _first_month(session: Session) -> date | None:
    at = months.first_instant(session)
    return None if at is None else _month_at(_calendar(session), at)


def _month_at(calendar: Calendar, at: datetime) -> date:
    return hours.local(calendar, at).date().replace(day=1)
