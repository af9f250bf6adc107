"""What a year costs the shop and how many hours it pays, by date."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from shoptrack.engine.prices import WHOLE_BP
from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import say_from
from shoptrack.store.tables import EditRow, HourCostRow

LEAST_PAID_H, MOST_PAID_H = 10.0, 1_000_000.0
"""Fewer hours a year are a slip of the pen, such as 1.920 for 1920."""


@dataclass(frozen=True, slots=True)
class YearSaid:
    """A year of the shop: money in the smallest unit, the hours that are at work, everybody's together.

    ``on_jobs_bp`` is the share of those hours that goes into jobs, in hundredths of a per cent; None: as the
    log says.
    """

    wages_cents: int
    taxes_cents: int
    benefits_cents: int
    overhead_cents: int
    paid_h: float
    on_jobs_bp: int | None

    @property
    def cents(self) -> int:
        """What the year costs."""
        return self.wages_cents + self.taxes_cents + self.benefits_cents + self.overhead_cents


def say_year(session: Session, year: YearSaid, *, from_on: date, who: int | None, now: datetime) -> bool:
    """Say what a year costs from a day on.

    Gives whether anything changed. Raises BadInput with the field that can't be meant.
    """
    for field in ("wages", "taxes", "benefits", "overhead"):
        if getattr(year, f"{field}_cents") < 0:
            raise BadInput("A year can’t cost less than nothing.", field)
    if year.cents == 0:
        raise BadInput("A year that costs nothing makes no rate: say at least the wages.", "wages")
    if not LEAST_PAID_H <= year.paid_h <= MOST_PAID_H:
        raise BadInput("The hours of a year are a number from 10 to 1,000,000, like 1920.", "paid_h")
    if year.on_jobs_bp is not None and not 0 < year.on_jobs_bp <= WHOLE_BP:
        raise BadInput("The share on jobs is above 0 % and at most 100 %.", "on_jobs")
    return say_from(session, HourCostRow, {}, from_on, who, now, **asdict(year))


def list_years(session: Session) -> Sequence[HourCostRow]:
    """All that was ever said of what a year costs, the oldest first."""
    return session.scalars(select(HourCostRow).order_by(HourCostRow.from_on)).all()


def year_on(session: Session, day: date) -> YearSaid | None:
    """What a year costs by what counts on a day; None where nothing is said for that day or before it."""
    said = select(HourCostRow).where(HourCostRow.from_on <= day)
    row = session.scalar(said.order_by(HourCostRow.from_on.desc()).limit(1))
    return None if row is None else year_of(row)


def year_of(row: HourCostRow) -> YearSaid:
    """The year that a row says."""
    return YearSaid(
        row.wages_cents,
        row.taxes_cents,
        row.benefits_cents,
        row.overhead_cents,
        row.paid_h,
        row.on_jobs_bp,
    )


def lines_about_hour_costs() -> ColumnElement[bool]:
    """Which lines of history speak of what a year costs."""
    return EditRow.table_name == HourCostRow.__tablename__
