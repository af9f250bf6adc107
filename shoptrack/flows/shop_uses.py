"""A person → the work that is in their hands now, which retiring them would leave lying."""

from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.flows.shopfloor import sight_of
from shoptrack.store.base import Base
from shoptrack.store.db import Store
from shoptrack.store.tables import PersonRow
from shoptrack.store.uses import Use


def in_hand_of(store: Store, session: Session, row: Base, now: datetime) -> tuple[Use, ...]:
    """The jobs on which a person has something in hand; nothing for whatever is no person."""
    if not isinstance(row, PersonRow):
        return ()
    sight = sight_of(store, session, now)
    jobs = {
        sight.world.stages[work.stage].job
        for standing in sight.standings.values()
        for work in (standing.work,)
        if any(sitting.person == row.id for sitting in work.open_stints)
    }
    return tuple(
        Use("job", id_, f"{job.tag} {job.title}") for id_, job in sight.world.jobs.items() if id_ in jobs
    )
