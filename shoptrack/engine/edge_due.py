"""What is left of an edge, and what is planned to be cut with it → the day it is due, and when to send it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from shoptrack.engine.edge_life import EdgeFit
from shoptrack.engine.shapes.learned import Floats

JOB_SD, DAY_SD = 0.2, 0.3
"""How far the hours of a job, and those of a day, are from the planned ones, on the scale of ln."""
DRAWS = 400
SHARES = (0.1, 0.2, 0.5, 0.9)
WEEK = 5
"""So many working days after the plan share a factor, as those of a job do."""
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Use:
    """What is planned to be cut with an edge: effective hours of a job on a day (its ordinal)."""

    on: int
    job: int
    effective_h: float


@dataclass(frozen=True, slots=True)
class After:
    """What comes once the plan ends: effective hours of a usual working day, and those days in order."""

    rate_h: float
    open_on: Sequence[int]


@dataclass(frozen=True, slots=True)
class Due:
    """The days by which one in ten, one in five, half and nine in ten such edges are dull.

    None: later than all the days that were looked at. ``chance_within``: that it is dull within them.
    """

    p10_on: int | None
    p20_on: int | None
    p50_on: int | None
    p90_on: int | None
    chance_within: float


@dataclass(frozen=True, slots=True)
class Send:
    """The last day to send an edge, and the day on which it is back then; ``late``: not by when it is due."""

    on: int
    back_on: int
    late: bool


NEVER = Due(None, None, None, None, 0.0)
"""Nothing is planned for it."""


def due(
    fit: EdgeFit,
    age_h: float,
    uses: Sequence[Use],
    rng: np.random.Generator,
    after: After | None = None,
    draws: int = DRAWS,
) -> Due:
    """The days on which an edge that is not dull yet will be.

    Takes its age in effective hours, its uses in any order, and what comes after them. Method: what is left
    is drawn (``EdgeFit.draw_left``); the planned hours, each times the factor of its job (ln-sd .2) and of
    its day (ln-sd .3), both of median 1, are added up day by day until they pass it.
    """
    planned = [*sorted(uses, key=lambda use: use.on), *_later(uses, after)]
    if not planned:
        return NEVER
    left = fit.draw_left(age_h, draws, rng)
    run = np.cumsum(_hours(planned, draws, rng), axis=1)
    passed = run >= left[:, None]
    first = np.where(passed[:, -1], passed.argmax(axis=1), len(planned))
    days = [*(use.on for use in planned), None]
    order = np.sort(first)
    p10, p20, p50, p90 = (days[order[ceil(share * draws - _ROUNDING) - 1]] for share in SHARES)
    return Due(p10, p20, p50, p90, float(passed[:, -1].mean()))


def send_by(due_on: int | None, away_days: int, open_on: Sequence[int]) -> Send | None:
    """The last working day on which an edge may leave so that the sharpener's days are over when it is due.

    Takes the day it is due (the 20 % one: of five edges four are back before they are missed), working days
    at the sharpener, and the shop's working days in order, today or the next first. Where even today is too
    late, it is today. None: not due within those days, or they end before it is back.
    """
    if due_on is None or len(open_on) <= away_days or due_on > open_on[-1]:
        return None
    back = sum(1 for on in open_on if on <= due_on) - 1
    leaves = max(back - away_days, 0)
    return Send(open_on[leaves], open_on[leaves + away_days], late=back < away_days)


def _later(uses: Sequence[Use], after: After | None) -> list[Use]:
    """The days after the plan as uses of the same hours, a job for each week of them."""
    if after is None or after.rate_h <= 0.0:
        return []
    last = max((use.on for use in uses), default=-1)
    job = max((use.job for use in uses), default=0) + 1
    days = [on for on in after.open_on if on > last]
    return [Use(on, job + n // WEEK, after.rate_h) for n, on in enumerate(days)]


def _hours(planned: Sequence[Use], draws: int, rng: np.random.Generator) -> Floats:
    """Drawn hours of each use, (draws, uses)."""
    jobs, job_at = np.unique([use.job for use in planned], return_inverse=True)
    days, day_at = np.unique([use.on for use in planned], return_inverse=True)
    of_job = JOB_SD * rng.standard_normal((draws, len(jobs)))
    of_day = DAY_SD * rng.standard_normal((draws, len(days)))
    hours = np.array([use.effective_h for use in planned])
    return np.asarray(hours * np.exp(of_job[:, job_at] + of_day[:, day_at]))
