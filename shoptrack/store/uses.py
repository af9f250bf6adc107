"""A thing of the shop → the open jobs and the patterns that still use it."""

from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.patterns import list_patterns, newest_revision
from shoptrack.store.tables import (
    EdgeKindRow,
    JobRow,
    MaterialRow,
    PatternClampRow,
    PatternStageRow,
    PatternToolRow,
    PoolRow,
    RecipeRow,
    RoomRow,
    StageClampRow,
    StageKindRow,
    StageRow,
    StageToolRow,
    StationRow,
    ToolRow,
)

_COLUMNS: dict[type[Base], str] = {
    StageKindRow: "kind_id",
    StationRow: "station_id",
    RoomRow: "room_id",
    RecipeRow: "recipe_id",
    MaterialRow: "material_id",
}


@dataclass(frozen=True, slots=True)
class Use:
    """An open job or a pattern that uses a thing."""

    what: Literal["job", "pattern", "station", "tool"]
    id: int
    words: str


def uses_of(session: Session, row: Base) -> tuple[Use, ...]:
    """The open jobs and the newest revisions of patterns in use that a thing is planned in.

    A room is also used by the stations that stand in it, a station by the tools mounted at it, a kind of edge
    by the tools that have one.
    """
    return (*_jobs(session, row), *_patterns(session, row), *_standing(session, row))


def ever_planned(session: Session, row: Base) -> bool:
    """Whether any stage, of any job or revision of a pattern there ever was, is planned with a thing."""
    stages = (
        _stages_with(row, StageRow, StageClampRow, StageToolRow),
        _stages_with(row, PatternStageRow, PatternClampRow, PatternToolRow),
    )
    return any(s is not None and session.scalars(s.limit(1)).first() is not None for s in stages)


def _jobs(session: Session, row: Any) -> list[Use]:
    stages = _stages_with(row, StageRow, StageClampRow, StageToolRow)
    if stages is None:
        return []
    there = stages.where(StageRow.removed_at.is_(None)).with_only_columns(StageRow.job_id)
    jobs = select(JobRow).where(JobRow.closed_at.is_(None), JobRow.id.in_(there))
    return [Use("job", j.id, f"{j.tag} {j.title}") for j in session.scalars(jobs.order_by(JobRow.id))]


def _patterns(session: Session, row: Any) -> list[Use]:
    stages = _stages_with(row, PatternStageRow, PatternClampRow, PatternToolRow)
    if stages is None:
        return []
    using = set(session.scalars(stages.with_only_columns(PatternStageRow.revision_id)))
    newest = ((p, newest_revision(session, p.id)) for p in list_patterns(session))
    return [Use("pattern", p.id, p.name) for p, revision in newest if revision and revision.id in using]


def _standing(session: Session, row: Any) -> list[Use]:
    if isinstance(row, RoomRow):
        at = select(StationRow).where(StationRow.room_id == row.id, StationRow.retired_at.is_(None))
        return [Use("station", s.id, s.name) for s in session.scalars(at.order_by(StationRow.id))]
    if isinstance(row, StationRow):
        on = select(ToolRow).where(ToolRow.station_id == row.id, ToolRow.retired_at.is_(None))
        return [Use("tool", t.id, t.name) for t in session.scalars(on.order_by(ToolRow.id))]
    if isinstance(row, EdgeKindRow):
        on = select(ToolRow).where(ToolRow.kind_id == row.id, ToolRow.retired_at.is_(None))
        return [Use("tool", t.id, t.name) for t in session.scalars(on.order_by(ToolRow.id))]
    return []


def _stages_with(row: Any, stage: Any, clamp: Any, tool: Any) -> Select[Any] | None:
    """The stages of jobs, or of patterns, that a thing is planned in; None for what no stage names."""
    named = _COLUMNS.get(type(row))
    if named is not None:
        found = select(stage).where(getattr(stage, named) == row.id)
    elif isinstance(row, PoolRow):
        found = select(stage).where(stage.id.in_(select(clamp.stage_id).where(clamp.pool_id == row.id)))
    elif isinstance(row, ToolRow):
        found = select(stage).where(stage.id.in_(select(tool.stage_id).where(tool.tool_id == row.id)))
    else:
        return None
    return found
