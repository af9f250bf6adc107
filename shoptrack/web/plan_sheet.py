"""The plan's view to its sheet: days drawn one under the other, days without work as one thin line."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from shoptrack.flows.planning.view import DAYS_SHOWN, DayRow, DueHere, PlanView
from shoptrack.web.plan_drawing import DayLines, day_lines, scale_of
from shoptrack.web.render import Wall

NIGHT_TODAY, NIGHT_LATER = 4, 3
JOBS_SHOWN = 24
TOLD_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Closed:
    """Days on which nobody works, one after the other, why, and what is due on them."""

    first_on: date
    last_on: date
    why: str
    dues: tuple[DueHere, ...]


@dataclass(frozen=True, slots=True)
class Band:
    """One strip of the sheet: a day at work, or days at which nobody is."""

    day: DayLines | None = None
    closed: Closed | None = None


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """The plan with its drawings. ``before`` and ``after`` are the days its other sheets begin on."""

    view: PlanView
    bands: tuple[Band, ...]
    before: date | None
    after: date | None
    jobs_more: int
    told_more: int


def draw(view: PlanView, wall: Wall) -> PlanSheet:
    """The sheet of a plan."""
    page = timedelta(days=DAYS_SHOWN)
    after = view.first_on + page
    return PlanSheet(
        view=view,
        bands=tuple(_bands(view, wall)),
        before=max(view.first_on - page, view.today) if view.first_on > view.today else None,
        after=after if view.last_on is not None and view.last_on >= after else None,
        jobs_more=max(0, len(view.jobs) - JOBS_SHOWN),
        told_more=max(0, len(view.left) - TOLD_SHOWN),
    )


def _bands(view: PlanView, wall: Wall) -> Iterator[Band]:
    scale = scale_of(view.days, wall)
    shut: list[DayRow] = []
    for row in view.days:
        if shut and (row.works or _why(row) != _why(shut[-1])):
            yield Band(closed=_closed(shut))
            shut = []
        if row.works:
            yield Band(day=day_lines(row, view, scale, wall, NIGHT_TODAY if row.today else NIGHT_LATER))
        else:
            shut.append(row)
    if shut:
        yield Band(closed=_closed(shut))


def _why(row: DayRow) -> str:
    if row.closed:
        return f"the shop is closed: {row.closed}"
    return "nobody at work" if row.closed is None else "the shop is closed"


def _closed(rows: list[DayRow]) -> Closed:
    dues = tuple(due for row in rows for due in row.dues)
    return Closed(rows[0].on, rows[-1].on, _why(rows[0]), dues)
