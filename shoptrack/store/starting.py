"""Which names are taken already in a table, by things in use and by retired ones."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.tables import StageKindRow


def kind_names(session: Session) -> frozenset[str]:
    """The names of all kinds of stage there ever were, in small letters: none can be given twice."""
    return frozenset(name.casefold() for name in session.scalars(select(StageKindRow.name)))
