"""A plan → each job against its promised date, in working days, the latest first."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.hours import day_spans, local
from shoptrack.engine.shapes import Calendar
from shoptrack.engine.shapes.planned import Plan
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.planning.lanes import instant_of
from shoptrack.flows.shopfloor import Sight

LONGEST = timedelta(days=800)
"""Working days further apart than that are not counted one by one."""


@dataclass(frozen=True, slots=True)
class JobDate:
    """A job by the plan: when it is ready (None: nothing of it is planned), against its promised day.

    ``days`` are working days from the promised day to the day it is ready: late above nought, early below.
    None where there is nothing to compare. ``late``: past the end of its promised day. ``whole`` False: some
    of its stages are not in the plan, so that it is ready later than said.
    """

    job: int
    tag: str
    title: str
    promised_on: date | None
    must_keep: bool
    ready_at: datetime | None
    ready_on: date | None
    days: int | None
    late: bool
    whole: bool


def job_dates(sight: Sight, laid: Laid, plan: Plan) -> tuple[JobDate, ...]:
    """Every open job: the late ones first, the latest leading, then by promised day."""
    planned = {order.job: n for n, order in enumerate(laid.problem.orders)}
    jobs = [j for j in sight.world.jobs.values() if j.closed_at is None]
    found = [_job_date(sight, laid, plan, job.id, planned.get(job.id)) for job in jobs]
    return tuple(sorted(found, key=_order))


def _order(line: JobDate) -> tuple[bool, int, date, str]:
    days = line.days or 0
    return (not line.late, -days if line.late else 0, line.promised_on or date.max, line.tag)


def _job_date(sight: Sight, laid: Laid, plan: Plan, job: int, order: int | None) -> JobDate:
    row = sight.world.jobs[job]
    ready = None if order is None else plan.ready[order]
    at = None if ready is None else instant_of(laid, ready)
    on = None if at is None else local(sight.world.calendar, at).date()
    tasks = laid.problem.tasks
    left = any(tasks[each.task].order == order for each in plan.left)
    due = None if order is None else laid.problem.orders[order].due
    promised = row.promised_on
    return JobDate(
        job=job,
        tag=row.tag,
        title=row.title,
        promised_on=promised,
        must_keep=row.must_keep,
        ready_at=at,
        ready_on=on,
        days=None if on is None or promised is None else working_days(sight.world.calendar, promised, on),
        late=ready is not None and due is not None and ready > due,
        whole=not left and job not in laid.not_whole,
    )


def working_days(calendar: Calendar, first: date, last: date) -> int:
    """How many working days of the shop lie from one day to another; below nought where it is earlier.

    Of the two days themselves the later counts. Empty: nought for the same day.
    """
    if last < first:
        return -working_days(calendar, last, first)
    if last - first > LONGEST:
        return (last - first).days
    days = (first + timedelta(days=n) for n in range(1, (last - first).days + 1))
    return sum(1 for on in days if day_spans(calendar, None, on))


def late_days(lines: tuple[JobDate, ...]) -> int:
    """The working days that all jobs are late, in sum; a job late on its very day counts as one."""
    return sum(max(line.days or 0, 1) for line in lines if line.late)
