"""What a year costs a shop and the hours it pays → the burdened rate, which an hour on jobs has to bear."""

from dataclasses import dataclass
from fractions import Fraction

from shoptrack.engine.cents import rounded
from shoptrack.engine.prices import WHOLE_BP
from shoptrack.errors import BadInput


@dataclass(frozen=True, slots=True)
class YearCost:
    """What a year costs beside materials, and how many hours are paid in it.

    ``on_jobs_bp`` is the share of the paid hours that are on jobs, in hundredths of a per cent.
    """

    wages_cents: int
    taxes_cents: int
    benefits_cents: int
    overhead_cents: int
    paid_h: float
    on_jobs_bp: int = WHOLE_BP

    @property
    def cents(self) -> int:
        """All that the year costs."""
        return self.wages_cents + self.taxes_cents + self.benefits_cents + self.overhead_cents


@dataclass(frozen=True, slots=True)
class HourCost:
    """What an hour that is paid costs, and one that is on jobs, which has to bear the other hours too."""

    paid_cents: int
    on_jobs_cents: int
    on_jobs_h: float


def hour_cost(year: YearCost) -> HourCost:
    """The cost of an hour, in whole cents, each rounded once.

    Raises BadInput where no hour is paid or none is on jobs: there is none to bear the cost. Method: (wages +
    taxes + benefits + overhead) / (paid hours · share on jobs). Overhead is in here and nowhere else.
    """
    if year.paid_h <= 0:
        raise BadInput("Write how many hours are paid in a year.", "paid_h")
    if not 0 < year.on_jobs_bp <= WHOLE_BP:
        raise BadInput("The share of hours on jobs is more than nothing and at most 100 %.", "on_jobs_bp")
    paid_h = Fraction(str(year.paid_h))
    on_jobs_h = paid_h * year.on_jobs_bp / WHOLE_BP
    return HourCost(
        paid_cents=rounded(year.cents / paid_h),
        on_jobs_cents=rounded(year.cents / on_jobs_h),
        on_jobs_h=float(on_jobs_h),
    )


def on_jobs_bp(jobs_min: float, paid_min: float) -> int | None:
    """The share of paid minutes that the log has on jobs, in hundredths of a per cent, at least one of them.

    None: nothing is paid or nothing was logged, so nothing is known. More on jobs than is paid (unpaid
    evenings) is all of it.
    """
    if paid_min <= 0 or jobs_min <= 0:
        return None
    share = rounded(Fraction(jobs_min) / Fraction(paid_min) * WHOLE_BP)
    return min(max(share, 1), WHOLE_BP)
