"""Kinds of stage that are not a person's to do: told, and said anew with their line of history."""

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.edits import note_change
from shoptrack.store.names import kind_names
from shoptrack.store.tables import NeverDoesRow, PersonRow


def never_of(session: Session, person: int) -> frozenset[int]:
    """The kinds of stage that a person does not do. Empty: they do everything, as anybody new does."""
    return frozenset(session.scalars(select(NeverDoesRow.kind_id).where(NeverDoesRow.person_id == person)))


def never_words(session: Session, person: int) -> str:
    """The same by name, in one line; nothing for who does everything."""
    return _words(session, never_of(session, person))


def say_never(
    session: Session, person: PersonRow, kinds: Collection[int], who: int | None, now: datetime
) -> bool:
    """Say which kinds of stage a person does not do, all of them at once. Gives whether anything changed.

    Raises BadInput for a kind that is not there.
    """
    session.flush()
    said, was = frozenset(kinds), never_of(session, person.id)
    if not said <= set(kind_names(session)):
        raise BadInput("One of the kinds of stage is not there any more.", "never")
    if said == was:
        return False
    gone = (NeverDoesRow.person_id == person.id, NeverDoesRow.kind_id.in_(was - said))
    session.execute(delete(NeverDoesRow).where(*gone))
    session.add_all(NeverDoesRow(person_id=person.id, kind_id=kind) for kind in sorted(said - was))
    before, after = (_words(session, some) or None for some in (was, said))
    note_change(session, person, who, now, "does_not_do", before, after)
    return True


def _words(session: Session, kinds: Collection[int]) -> str:
    names = kind_names(session)
    return ", ".join(sorted(names[kind] for kind in kinds))
