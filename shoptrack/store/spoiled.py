"""The tally → of each kind of stage the minutes of first passes, and of passes done again."""

from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from shoptrack.store.tables import StageRow, TallyRow


def first_and_again_min(session: Session, since: datetime) -> dict[int, tuple[float, float]]:
    """By kind of stage: minutes of its finished first passes, and minutes of doing spoiled pieces again.

    Takes the instant from which on what was finished counts; what goes on counts too. Hands' minutes and a
    machine's count alike. Empty: nothing was finished since.
    """
    minutes = TallyRow.attended_min + TallyRow.machine_min
    finished_first = (TallyRow.redo == 0) & TallyRow.finished_at.is_not(None)
    rows = session.execute(
        select(
            StageRow.kind_id,
            func.total(case((finished_first, minutes), else_=0.0)),
            func.total(case((TallyRow.redo > 0, minutes), else_=0.0)),
        )
        .join(StageRow, StageRow.id == TallyRow.stage_id)
        .where((TallyRow.finished_at >= since) | TallyRow.finished_at.is_(None))
        .group_by(StageRow.kind_id)
    )
    return {kind: (first, again) for kind, first, again in rows}
