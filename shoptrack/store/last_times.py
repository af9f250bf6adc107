"""What was said of a stage of a pattern when it was last made: kept, and found for the next of its line."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ScalarSelect, and_, or_, select
from sqlalchemy.orm import Session, aliased

from shoptrack.errors import NotFound, Refused
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import (
    JobRow,
    LastTimeRow,
    PatternRevisionRow,
    PersonRow,
    PhotoRow,
    StageKindRow,
    StageRow,
)


@dataclass(frozen=True, slots=True)
class LastTime:
    """What was said: minutes for how much in ``unit``, who and when, what went wrong, the id of a photo."""

    said_at: datetime
    who: str
    minutes: float | None
    quantity: float | None
    unit: str
    trouble: str
    photo: int | None


@dataclass(frozen=True, slots=True)
class Remembered:
    """What is known of a stage: whether a pattern can remember it, what was said of the last of its line
    (itself left out), and what was kept of itself.
    """

    may_keep: bool = False
    last: LastTime | None = None
    own: LastTime | None = None


def remembered(session: Session, stages: Collection[int]) -> Mapping[int, Remembered]:
    """What is known of some stages, by id, in one query. Empty: of no stages nothing, without a query."""
    if not stages:
        return {}
    asked = (
        select(StageRow, PatternRevisionRow.pattern_id, StageKindRow.unit, LastTimeRow)
        .add_columns(PersonRow.name, PhotoRow.id)
        .select_from(StageRow)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .join(StageKindRow, StageKindRow.id == StageRow.kind_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .outerjoin(
            LastTimeRow, or_(LastTimeRow.id == _newest(own=False), LastTimeRow.id == _newest(own=True))
        )
        .outerjoin(PersonRow, PersonRow.id == LastTimeRow.person_id)
        .outerjoin(PhotoRow, and_(PhotoRow.id == LastTimeRow.photo_id, PhotoRow.retired_at.is_(None)))
        .where(StageRow.id.in_(stages))
    )
    found: dict[int, Remembered] = {}
    for stage, pattern, unit, row, who, photo in session.execute(asked):
        before = found.get(stage.id, Remembered(stage.line is not None and pattern is not None))
        found[stage.id] = _with(before, stage, row, LastTimeOf(unit, who or "", photo))
    return found


@dataclass(frozen=True, slots=True)
class LastTimeOf:
    """What a row of last times does not say itself."""

    unit: str
    who: str
    photo: int | None

    def told(self, row: LastTimeRow) -> LastTime:
        """The row with it."""
        return LastTime(row.said_at, self.who, row.minutes, row.quantity, self.unit, row.trouble, self.photo)


def _with(before: Remembered, stage: StageRow, row: LastTimeRow | None, of: LastTimeOf) -> Remembered:
    if row is None:
        return before
    if row.stage_id == stage.id:
        return Remembered(before.may_keep, before.last, of.told(row))
    return Remembered(before.may_keep, of.told(row), before.own)


def _newest(*, own: bool) -> ScalarSelect[Any]:
    """The newest that was said of a stage itself, or of others of its pattern's line."""
    said = aliased(LastTimeRow)
    whose = said.stage_id == StageRow.id if own else said.stage_id.is_distinct_from(StageRow.id)
    return (
        select(said.id)
        .where(said.pattern_id == PatternRevisionRow.pattern_id, said.line == StageRow.line, whose)
        .where(said.retired_at.is_(None))
        .order_by(said.said_at.desc(), said.id.desc())
        .limit(1)
        .correlate(StageRow, PatternRevisionRow)
        .scalar_subquery()
    )


@dataclass(frozen=True, slots=True)
class Said:
    """What is to be kept of a stage: its minutes, its measure, what went wrong."""

    minutes: float | None
    quantity: float | None
    trouble: str


def keep(session: Session, stage: int, said: Said, who: int | None, now: datetime) -> int:
    """Keep what was said of a stage, with its newest photo, for the next of its line; gives its id.

    Said again of the same stage, it takes the place of what was said, with history. Raises NotFound for a
    stage that is not there, Refused for one that no pattern remembers.
    """
    row = session.get(StageRow, stage)
    if row is None:
        raise NotFound("There is no such stage.")
    revision = session.get(PatternRevisionRow, row.job.pattern_revision_id or 0)
    if revision is None or row.line is None:
        raise Refused("This stage came from no pattern, so there is no next time to keep it for.")
    there = session.scalars(
        select(LastTimeRow).where(LastTimeRow.stage_id == stage, LastTimeRow.retired_at.is_(None))
    ).first()
    if there is None:
        there = LastTimeRow(pattern_id=revision.pattern_id, line=row.line, stage_id=stage, said_at=now)
        there.person_id, there.photo_id = who, _newest_photo(session, stage)
        there.minutes, there.quantity, there.trouble = said.minutes, said.quantity, said.trouble
        session.add(there)
        note_made(session, there, who, now)
        return there.id
    edit(
        session,
        there,
        who,
        now,
        minutes=said.minutes,
        quantity=said.quantity,
        trouble=said.trouble,
        photo_id=_newest_photo(session, stage),
        person_id=who if who is not None else there.person_id,
    )
    return there.id


def _newest_photo(session: Session, stage: int) -> int | None:
    of_it = select(PhotoRow.id).where(PhotoRow.stage_id == stage, PhotoRow.retired_at.is_(None))
    return session.scalar(of_it.order_by(PhotoRow.added_at.desc(), PhotoRow.id.desc()).limit(1))
