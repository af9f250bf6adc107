"""What was said of a year, and the log → what an hour on jobs costs, with each step of the working."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.hourly import YearCost, hour_cost
from shoptrack.errors import BadInput
from shoptrack.flows.hours_on_jobs import LogHours, hours_on_jobs
from shoptrack.store.db import Store
from shoptrack.store.hour_costs import YearSaid, year_on
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.rates import lines_about_anybody, set_rate


@dataclass(frozen=True, slots=True)
class HourWorked:
    """The working of an hour: the year, the share of its hours on jobs, those hours, and what one costs.

    ``typed``: the share was said; else it is the log's. ``paid_cents`` is an hour that is paid, ``cents`` one
    that is on jobs.
    """

    year: YearSaid
    typed: bool
    on_jobs_bp: int
    on_jobs_h: float
    paid_cents: int
    cents: int

    @property
    def other_h(self) -> float:
        """The hours that are paid and not on jobs."""
        return self.year.paid_h - self.on_jobs_h


@dataclass(frozen=True, slots=True)
class HourView:
    """What the page shows: what was said, what the log says, and the working where there is one.

    ``worked`` None: nothing was said, or the share was left to a log that has too little.
    """

    year: YearSaid | None
    log: LogHours
    worked: HourWorked | None


def hour_view(session: Session, on: date, now: datetime) -> HourView:
    """What an hour costs by what counts on a day and what the log says by now. Raises NotSetUp."""
    year, log = year_on(session, on), hours_on_jobs(session, now)
    return HourView(year, log, None if year is None else work_out(year, log))


def work_out(year: YearSaid, log: LogHours) -> HourWorked | None:
    """The working of an hour; None where its share is neither typed nor told by the log."""
    typed = year.on_jobs_bp is not None
    share = year.on_jobs_bp if year.on_jobs_bp is not None else log.on_jobs_bp
    if share is None:
        return None
    cost = hour_cost(
        YearCost(
            year.wages_cents,
            year.taxes_cents,
            year.benefits_cents,
            year.overhead_cents,
            year.paid_h,
            share,
        )
    )
    return HourWorked(year, typed, share, cost.on_jobs_h, cost.paid_cents, cost.on_jobs_cents)


def use_as_rate(
    store: Store, cents: int, *, from_on: date, today: date, who: int | None, now: datetime, seen: int | None
) -> bool:
    """Make the cost of an hour the rate of anybody's hands from a day on.

    Takes the cents that were shown. Gives whether anything changed. Raises BadInput where an hour costs
    something else by now, and ChangedMeanwhile where somebody said another rate since line ``seen``.
    """
    with store.reading() as session:  # the log may take a while to read: nobody's tap waits for it
        worked = hour_view(session, today, now).worked
    if worked is None or worked.cents != cents:
        raise BadInput("An hour comes out otherwise by now: look it over and press again.", "rate_from_on")
    with store.writing() as session, not_overtaken(session, lines_about_anybody(), seen):
        return set_rate(session, cents_per_h=cents, from_on=from_on, who=who, now=now)
