"""The stretches of the log that the state of some jobs rests on."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import (
    ColumnElement,
    CompoundSelect,
    Select,
    and_,
    func,
    literal,
    null,
    or_,
    select,
    type_coerce,
    union,
    union_all,
)
from sqlalchemy.orm import Session

from shoptrack.store.base import Json
from shoptrack.store.tables import EntryRow, EntryStageRow, JobRow, StageRow

Lines = Select[*tuple[Any, ...]]

PEOPLE_FOR = timedelta(days=7)
AFTER_CLOSED = timedelta(days=30)  # by then everyone on it has tapped something else


@dataclass(frozen=True)
class Windows:
    """The stretches of the log that are wanted: from an instant to now, and perhaps one long past."""

    since: datetime
    newest: datetime
    past: tuple[datetime, datetime] | None

    def hold(self, row: Any) -> ColumnElement[bool]:
        """The condition that an entry lies in one of them."""
        recent: ColumnElement[bool] = row.at >= self.since
        return recent if self.past is None else or_(recent, row.at.between(*self.past))


def windows(session: Session, jobs: Collection[int]) -> Windows | None:
    """The stretches in which open jobs or people's present work, and the given jobs, were spoken of."""
    # the first select of a union says how its columns are read, so the empty body is one of JSON
    newest = select(literal("newest"), func.max(EntryRow.at), type_coerce(null(), Json))
    parts = [newest, *_instants("open", JobRow.closed_at.is_(None))]
    if jobs:
        parts += _instants("asked", and_(JobRow.id.in_(jobs), JobRow.closed_at.is_not(None)))
    instants: dict[str, list[datetime]] = {"newest": [], "open": [], "asked": []}
    for what, at, body in session.execute(union_all(*parts)):
        instant = at if body is None else _moved_to(body)
        if instant is not None:
            instants[what].append(instant)
    if not instants["newest"]:
        return None
    last, asked = instants["newest"][0], instants["asked"]
    past = (min(asked), max(asked) + AFTER_CLOSED) if asked else None
    return Windows(min([last - PEOPLE_FOR, *instants["open"]]), last, past)


def _instants(what: str, which: ColumnElement[bool]) -> list[Lines]:
    """Lines (what, instant, None) of the first and last entry about jobs; (what, None, body) of moves."""
    ids = select(JobRow.id).where(which)
    said = about(StageRow.job_id.in_(ids), EntryRow.job_id.in_(ids)).subquery()
    these = EntryRow.n.in_(select(said.c.n))
    return [
        select(literal(what), func.min(EntryRow.at), null()).where(these),
        select(literal(what), func.max(EntryRow.at), null()).where(these),
        select(literal(what), null(), EntryRow.body).where(
            EntryRow.kind == "retime", EntryRow.of_id.in_(select(said.c.id))
        ),
    ]


def _moved_to(body: Any) -> datetime | None:
    return datetime.fromisoformat(body["to_at"]) if "to_at" in body else None


def about(stage: ColumnElement[bool], job: ColumnElement[bool]) -> CompoundSelect[Any]:
    """The entries whose stages or whose job meet a condition."""
    these = (EntryRow.n, EntryRow.id, EntryRow.of_id)
    by_stage = (
        select(*these)
        .join(EntryStageRow, EntryStageRow.entry_n == EntryRow.n)
        .join(StageRow, StageRow.id == EntryStageRow.stage_id)
        .where(stage)
    )
    return union(by_stage, select(*these).where(job))
