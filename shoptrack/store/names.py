"""Numbers of people, stations, stages and materials to their names, and materials to choose from."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.tables import MaterialRow, PersonRow, StageKindRow, StageRow, StationRow


def people_names(session: Session) -> dict[int, str]:
    """Everybody who ever worked here, by number."""
    return {row.id: row.name for row in session.execute(select(PersonRow.id, PersonRow.name))}


def station_names(session: Session) -> dict[int, str]:
    """Every station there ever was, by number."""
    return {row.id: row.name for row in session.execute(select(StationRow.id, StationRow.name))}


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
