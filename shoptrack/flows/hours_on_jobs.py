"""Half a year of the log → the hours that were paid, on jobs, shop time, and of which nobody knows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy.orm import Session

from shoptrack.engine import hours
from shoptrack.engine.hourly import on_jobs_bp
from shoptrack.engine.shapes import Calendar
from shoptrack.flows.month_figures import next_month, read_stretch, shop_time
from shoptrack.flows.months import known_by_now
from shoptrack.store import months, snapshot
from shoptrack.store.tables import MonthRow
from shoptrack.store.taps import at_the_log, before_newest

MONTHS_BACK = 6
DAYS_BACK, LEAST_DAYS_BACK = 180, 14
TAPS_BACK = 2_000
"""A busy shop's share is as well known from fewer days, and half a year of it takes seconds to replay."""
LEAST_PAID_H = 80.0
"""So many paid hours tell a share: two weeks of one person."""
LEAST_KNOWN = 0.5
"""The part of the paid hours that the log must know of; where most is unknown the share is a guess."""
Minutes = Mapping[int, float]


@dataclass(frozen=True, slots=True)
class LogHours:
    """What the log says of the hours of those who tap, from ``since_on`` to ``last_on``.

    ``paid_h`` is by their working weeks, from each one's first tap until they left; ``unknown_h`` is what
    was paid and nobody knows of.
    """

    since_on: date
    last_on: date
    paid_h: float = 0.0
    on_jobs_h: float = 0.0
    shop_h: float = 0.0
    unknown_h: float = 0.0

    @property
    def is_short(self) -> bool:
        """Whether too few hours were paid so far to tell anything."""
        return self.paid_h < LEAST_PAID_H

    @property
    def is_enough(self) -> bool:
        """Whether the hours are enough, and enough of them known, to tell a share by."""
        known = self.unknown_h <= (1 - LEAST_KNOWN) * self.paid_h
        return not self.is_short and known and self.on_jobs_h > 0

    @property
    def on_jobs_bp(self) -> int | None:
        """The share of paid hours that was on jobs, in hundredths of a per cent; None: too little known."""
        return on_jobs_bp(self.on_jobs_h * 60, self.paid_h * 60) if self.is_enough else None


def hours_on_jobs(session: Session, now: datetime) -> LogHours:
    """The hours of the last six closed months; else of two weeks to half a year of the log.

    Raises NotSetUp. Method: closed months say what they said, with what came out otherwise since and was
    taken up by later ones; only without them is the log replayed. Empty: nobody tapped; all is nought.
    """
    calendar = snapshot.world_around(session, ()).calendar
    today = hours.local(calendar, now).date()
    closed = _of_closed_months(session, calendar, today)
    if closed is not None and not closed.is_short:
        return closed
    return _of_the_log(session, calendar, today, now)


def hours_in_a_year(session: Session, now: datetime) -> float:
    """The hours of the coming year by the working weeks of all who work here, less days off.

    Empty: nought where no hours are said.
    """
    world = snapshot.world_around(session, ())
    until = now + timedelta(days=365)
    here = [p.id for p in world.people.values() if not p.retired]
    return sum(hours.worked_min(world.calendar, person, now, until) for person in here) / 60


def _of_closed_months(session: Session, calendar: Calendar, today: date) -> LogHours | None:
    oldest = today.replace(day=1)
    for _ in range(MONTHS_BACK + 1):  # the month before this one may be open still
        oldest = (oldest - timedelta(days=1)).replace(day=1)
    closed = months.closed_months(session)
    rows = [row for row in closed if row.first_on >= oldest][-MONTHS_BACK:]
    if not rows:
        return None
    figures = [{key: f.value for key, f in known_by_now(closed, row).items()} for row in rows]
    on_jobs, shop = _added_up(figures, "job_min:"), _added_up(figures, "shop_min:")
    return _hours(session, calendar, _span(rows), on_jobs, shop)


def _span(rows: list[MonthRow]) -> tuple[date, date]:
    return rows[0].first_on, next_month(rows[-1].first_on)


def _added_up(figures: Iterable[Mapping[str, int]], group: str) -> Minutes:
    """The minutes of each person over some months."""
    by: dict[int, float] = {}
    for month in figures:
        for key, value in month.items():
            if key.startswith(group):
                person = int(key.removeprefix(group))
                by[person] = by.get(person, 0.0) + value
    return by


def _of_the_log(session: Session, calendar: Calendar, today: date, now: datetime) -> LogHours:
    since_on = _since(session, calendar, today)
    first_at, until_at = (hours.instant(calendar, on, time(0)) for on in (since_on, today))
    stretch = read_stretch(session, first_at, until_at, now)
    on_jobs: dict[int, float] = {}
    for work in stretch.works:
        on_jobs[work.person or 0] = on_jobs.get(work.person or 0, 0.0) + work.minutes
    shop = {person or 0: sum(minutes) for person, minutes in shop_time(stretch).items()}
    return _hours(session, calendar, (since_on, today), on_jobs, shop)


def _since(session: Session, calendar: Calendar, today: date) -> date:
    """180 days back, or fewer where a busy shop's newest 2,000 taps reach less far; fourteen at least."""
    reached_at = before_newest(session, TAPS_BACK)
    reached_on = date.min if reached_at is None else hours.local(calendar, reached_at).date()
    return max(today - timedelta(days=DAYS_BACK), min(reached_on, today - timedelta(days=LEAST_DAYS_BACK)))


def _hours(
    session: Session, calendar: Calendar, days: tuple[date, date], on_jobs: Minutes, shop: Minutes
) -> LogHours:
    """The hours from one day up to another, which is not in them."""
    since_at, until_at = (hours.instant(calendar, on, time(0)) for on in days)
    paid_min = unknown_min = 0.0
    for person, (first_at, left_at) in at_the_log(session).items():
        here = max(since_at, first_at), min(until_at, left_at or until_at)
        own = hours.worked_min(calendar, person, *here)
        paid_min += own
        unknown_min += max(0.0, own - on_jobs.get(person, 0.0) - shop.get(person, 0.0))
    on_jobs_min, shop_min = sum(on_jobs.values()), sum(shop.values())
    last_on = days[1] - timedelta(days=1)
    return LogHours(days[0], last_on, paid_min / 60, on_jobs_min / 60, shop_min / 60, unknown_min / 60)
