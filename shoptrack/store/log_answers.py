"""What somebody says of a time that looked wrong → a row with its history; a change of mind is one too."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import LogAnswerRow, PastTimeRow, TallyRow

NO_TIME = "There is no such time."


def say_of_log(session: Session, key: str, counts: bool, who: int | None, now: datetime) -> bool:
    """Say whether a time counts like any other or is left out; gives whether that is new.

    Takes the time's key, as ``logs.Logged`` has it. Raises NotFound where there is no such time.
    """
    stage, past_time = _meant(session, key)
    row = session.scalar(
        select(LogAnswerRow).where(LogAnswerRow.past_time_id == past_time)
        if stage is None
        else select(LogAnswerRow).where(LogAnswerRow.stage_id == stage, LogAnswerRow.redo == 0)
    )
    if row is None:
        row = LogAnswerRow(stage_id=stage, past_time_id=past_time, counts=counts, said_at=now, person_id=who)
        session.add(row)
        note_made(session, row, who, now, why="it counts" if counts else "it is left out")
        return True
    if row.counts == counts:
        return False
    edit(session, row, who, now, counts=counts)
    row.said_at, row.person_id = now, who
    return True


def _meant(session: Session, key: str) -> tuple[int | None, int | None]:
    """The stage or the past time that a key names."""
    kind, number = key[:1], key[1:]
    if not (number.isascii() and number.isdigit() and len(number) < 10):
        raise NotFound(NO_TIME)
    if kind == "s" and session.get(TallyRow, (int(number), 0)) is not None:
        return int(number), None
    if kind == "p" and session.get(PastTimeRow, int(number)) is not None:
        return None, int(number)
    raise NotFound(NO_TIME)
