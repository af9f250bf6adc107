"""A change of what held before now → the whole log replayed by it, and the tally of every job made anew."""

from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.replay import replay
from shoptrack.store import log, snapshot, tally, worked


def rebuild_tally(session: Session, now: datetime) -> int:
    """Count the hours of every job again, closed ones too, by the whole log.

    To be called in the transaction that changed something for a time before ``now``: working hours, days
    off, a rule of thumb, the shop's zone. Gives how many passes were looked at.
    """
    session.flush()
    world = snapshot.whole_world(session)
    state = replay(log.whole_log(session), world, now)
    works = [work for passes in state.passes.values() for work in passes]
    tally.rewrite(session, works)
    worked.rewrite(session, works, world)
    return len(works)
