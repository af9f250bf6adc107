"""A station that moves to another room → what was done on it before stays where it cured."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.edits import edit
from shoptrack.store.tables import RoomRow, StageRow, StationRow, TallyRow


def keep_room(session: Session, station: StationRow, who: int | None, now: datetime) -> int:
    """Write the station's present room into the stages that were begun there, before it moves.

    A stage without a room of its own stands where its station does; what has cured since was as warm as
    the old room. Gives how many stages were written to.
    """
    room = station.room_id or _first_room(session)
    begun = select(TallyRow.stage_id).where(TallyRow.started_at.is_not(None))
    here = StageRow.station_id == station.id
    if room is None:
        return 0
    own = select(StageRow).where(here, StageRow.room_id.is_(None), StageRow.id.in_(begun))
    stages = session.scalars(own).all()
    for stage in stages:
        edit(session, stage, who, now, why=f"{station.name} was moved", room_id=room)
    return len(stages)


def _first_room(session: Session) -> int | None:
    return session.scalar(select(RoomRow.id).order_by(RoomRow.id).limit(1))
