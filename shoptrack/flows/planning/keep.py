"""Changes that were thought of and are to be kept → days off, overtime, pins, marks and clamps."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Overtime
from shoptrack.errors import Refused
from shoptrack.flows.planning.changes import Change, DayOff, JobFirst, MoreClamps, PinStage
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store.dated_rows import said_of, say_from
from shoptrack.store.db import Head, Store, head
from shoptrack.store.edits import edit
from shoptrack.store.hours import say_day_off
from shoptrack.store.jobs import job_row
from shoptrack.store.overtime import say_overtime
from shoptrack.store.stage_pins import set_pin
from shoptrack.store.tables import PoolCountRow

MOVED = "Something was written down meanwhile: look at it once more, then keep it."
TO_KEEP = (DayOff, Overtime, JobFirst, MoreClamps, PinStage)
"""What can be written down; somebody more who has no name can't."""
WHY = "from a what-if on the plan"


def can_keep(change: Change) -> bool:
    """Whether a change can be written down."""
    return isinstance(change, TO_KEEP)


def keep(
    store: Store, changes: Sequence[Change], seen: Head, who: int | None, today: date, now: datetime
) -> int:
    """Write down what can be kept, all of it or nothing; gives how many changes that were.

    Takes the head for which the changes were looked at. Raises Refused where clamps would be added to another
    count than was seen; BadInput as the single writers do.
    """
    kept = [change for change in changes if can_keep(change)]
    with store.writing() as session:
        if any(isinstance(change, MoreClamps) for change in kept) and head(session) != seen:
            raise Refused(MOVED)
        for change in kept:
            _keep(session, change, who, today, now)
        if any(isinstance(change, DayOff | Overtime) and change.on <= today for change in kept):
            rebuild_tally(session, now)
    return len(kept)


def _keep(session: Session, change: Change, who: int | None, today: date, now: datetime) -> None:
    match change:
        case DayOff(person, on):
            say_day_off(session, first_on=on, last_on=on, person=person, reason="", who=who, now=now)
        case Overtime(person, on, opens, closes):
            said = {"on": on, "opens": opens, "closes": closes, "person": person}
            say_overtime(session, **said, reason="", who=who, now=now)  # type: ignore[arg-type] # as they are
        case JobFirst(job):
            edit(session, job_row(session, job), who, now, why=WHY, must_keep=True)
        case MoreClamps(pool, count):
            _own_more(session, pool, count, who, now)
        case PinStage(stage, on, person):
            set_pin(session, stage, on, person, today=today, who=who, now=now)


def _own_more(session: Session, pool: int, count: int, who: int | None, now: datetime) -> None:
    """So many more clamps of a pool than are owned now, from now on."""
    said = [row for row in said_of(session, PoolCountRow, {"pool_id": pool}) if row.from_at <= now]  # type: ignore[attr-defined]
    owned = (said[-1].owned if said else 0) + count  # type: ignore[attr-defined]
    say_from(session, PoolCountRow, {"pool_id": pool}, now, who, now, owned=max(0, owned))
