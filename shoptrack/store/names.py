"""Numbers of people, stations, stages and materials to their names, and materials to choose from."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.tables import (
    MaterialRow,
    MaterialWearRow,
    PersonRow,
    StageKindRow,
    StageRow,
    StationRow,
    ToolRow,
)


def people_names(session: Session) -> dict[int, str]:
    """Everybody who ever worked here, by number."""
    return {row.id: row.name for row in session.execute(select(PersonRow.id, PersonRow.name))}


def station_names(session: Session) -> dict[int, str]:
    """Every station there ever was, by number."""
    return {row.id: row.name for row in session.execute(select(StationRow.id, StationRow.name))}


def tool_names(session: Session) -> dict[int, str]:
    """Every tool there ever was, by number."""
    return {row.id: row.name for row in session.execute(select(ToolRow.id, ToolRow.name))}


def wear_factors(session: Session, at: datetime) -> dict[int, float]:
    """How hard each material is on an edge, by number, at an instant."""
    said = select(MaterialWearRow.material_id, MaterialWearRow.factor).where(MaterialWearRow.from_at <= at)
    return {row.material_id: row.factor for row in session.execute(said.order_by(MaterialWearRow.from_at))}


def kind_names(session: Session) -> dict[int, str]:
    """The name of every kind of stage, in use or not."""
    return {row.id: row.name for row in session.execute(select(StageKindRow.id, StageKindRow.name))}


def material_words(session: Session) -> tuple[tuple[int, str], ...]:
    """The materials that may be chosen, by name, each with its unit where one is said."""
    living = select(MaterialRow).where(MaterialRow.retired_at.is_(None)).order_by(MaterialRow.name)
    return tuple((m.id, f"{m.name}, by {m.unit}" if m.unit else m.name) for m in session.scalars(living))


def material_names(session: Session) -> dict[int, str]:
    """Every material there ever was, by number."""
    return {row.id: row.name for row in session.execute(select(MaterialRow.id, MaterialRow.name))}


def stage_names(session: Session, job_id: int) -> tuple[tuple[int, str], ...]:
    """The stages of a job in their order, by number and name."""
    own = select(StageRow.id, StageRow.position, StageRow.name).where(StageRow.job_id == job_id)
    rows = session.execute(own.where(StageRow.removed_at.is_(None)).order_by(StageRow.position))
    return tuple((row.id, f"{row.position} {row.name}") for row in rows)
