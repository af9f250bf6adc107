"""Stages that a person said shall be begun on a day: pinned and let go, with their lines of history."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import note_change
from shoptrack.store.skills import never_of
from shoptrack.store.tables import PersonRow, StagePinRow, StageRow, TallyRow


def set_pin(
    session: Session,
    stage: int,
    on: date,
    person: int | None,
    *,
    today: date,
    who: int | None,
    now: datetime,
) -> bool:
    """Pin a stage to a day, and to a person (None: whoever can); one that is pinned moves.

    Takes today by the shop's wall. Gives whether anything changed. Raises NotFound; BadInput for a stage that
    is done or taken out, a job that is closed, a day that is over, somebody who does not work here or does
    not do this kind of stage.
    """
    row = _stage(session, stage)
    _refuse_over(session, row, on, today)
    _refuse_person(session, row, person)
    pin = session.get(StagePinRow, stage)
    if pin is not None and (pin.on_date, pin.person_id) == (on, person):
        return False
    before = _words(session, pin)
    pin = pin or StagePinRow(stage_id=stage)
    pin.on_date, pin.person_id, pin.made_at, pin.made_by = on, person, now, who
    session.add(pin)
    note_change(session, row, who, now, "pinned", before, _words(session, pin))
    session.flush()
    return True


def unpin(session: Session, stage: int, who: int | None, now: datetime) -> bool:
    """Let a stage go wherever the plan puts it. Gives whether it was pinned. Raises NotFound."""
    row, pin = _stage(session, stage), session.get(StagePinRow, stage)
    if pin is None:
        return False
    note_change(session, row, who, now, "pinned", _words(session, pin), None)
    session.delete(pin)
    session.flush()
    return True


def _stage(session: Session, stage: int) -> StageRow:
    row = session.get(StageRow, stage)
    if row is None:
        raise NotFound("There is no such stage.")
    return row


def _refuse_over(session: Session, row: StageRow, on: date, today: date) -> None:
    newest = select(TallyRow.standing).where(TallyRow.stage_id == row.id).order_by(TallyRow.redo.desc())
    if row.removed_at is not None:
        raise BadInput(f"“{row.name}” was taken out of its job.", "stage")
    if row.job.closed_at is not None:
        raise BadInput(f"{row.job.tag} is closed.", "stage")
    if session.scalar(newest.limit(1)) == "done":
        raise BadInput(f"“{row.name}” is done already.", "stage")
    if on < today:
        raise BadInput("That day is over.", "on")


def _refuse_person(session: Session, row: StageRow, person: int | None) -> None:
    if person is None:
        return
    found = session.get(PersonRow, person)
    if found is None or found.retired_at is not None:
        raise BadInput("There is nobody of that name who works here.", "person")
    if row.kind_id in never_of(session, person):
        raise BadInput(f"“{row.name}” is not {found.name}’s to do: see Shop, People.", "person")


def _words(session: Session, pin: StagePinRow | None) -> str | None:
    """A pin in one line: "2026-12-05 Una"; None where there is none."""
    if pin is None:
        return None
    person = session.get(PersonRow, pin.person_id) if pin.person_id is not None else None
    return f"{pin.on_date.isoformat()} {person.name if person is not None else ''}".strip()
