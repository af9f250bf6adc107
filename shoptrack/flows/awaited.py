"""What a job waits for from outside → lines that say when each was agreed, is looked for, or came."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shoptrack.store.awaited import awaited_of
from shoptrack.store.names import stage_names
from shoptrack.store.tables import AwaitedRow


@dataclass(frozen=True, slots=True)
class AwaitedLine:
    """Something that a job waits for; ``stage`` names the one that may not start without it, "" all of them.

    ``overdue``: it was looked for on a day that is over, and has not come. ``later``: it is looked for, or
    came, later than was agreed.
    """

    id: int
    what: str
    stage: str
    agreed_on: date | None
    expected_on: date | None
    came_on: date | None
    overdue: bool
    later: bool


def awaited_lines(session: Session, job_id: int, today: date) -> tuple[AwaitedLine, ...]:
    """What has not come first, the nearest day first, then what came. Empty: the job waits for nothing.

    Takes today by the shop's wall. What was for a stage that was taken out of the job is left out.
    """
    stages = dict(stage_names(session, job_id))
    rows = [row for row in awaited_of(session, job_id) if row.stage_id is None or row.stage_id in stages]
    lines = [_line(row, stages, today) for row in rows]
    return tuple(sorted(lines, key=lambda a: (a.came_on is not None, a.came_on or a.expected_on or date.max)))


def _line(row: AwaitedRow, stages: dict[int, str], today: date) -> AwaitedLine:
    on = row.came_on or row.expected_on
    return AwaitedLine(
        id=row.id,
        what=row.what,
        stage=stages[row.stage_id] if row.stage_id is not None else "",
        agreed_on=row.agreed_on,
        expected_on=row.expected_on,
        came_on=row.came_on,
        overdue=row.came_on is None and row.expected_on is not None and row.expected_on < today,
        later=row.agreed_on is not None and on is not None and on > row.agreed_on,
    )
