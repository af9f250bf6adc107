"""A form opened before somebody else's change → refused with who changed what, so nothing is lost unseen."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from shoptrack.errors import ChangedMeanwhile
from shoptrack.store.tables import EditRow, PersonRow

BESIDE_THE_FORM = ("made", "position", "retired_at")
"""Changes that no form of values writes, so that they overtake none."""
_ENDS = ("_cents", "_id", "_on", "_at", "_mm", "_min", "_bp", "_c", "_h")


def newest_line(session: Session) -> int:
    """The number of the newest line of history; 0 where there is none."""
    return session.scalar(select(func.max(EditRow.id))) or 0


@contextmanager
def not_overtaken(
    session: Session, about: ColumnElement[bool], seen: int | None, only: Collection[str] = ()
) -> Iterator[None]:
    """Let a block change what the lines ``about`` speak of, unless somebody did after line ``seen``.

    Takes the newest line when the form was shown, None where nobody knows, and the fields that the form
    writes where it doesn't write all. A form sent twice changes nothing the second time, and passes.
    Raises ChangedMeanwhile at the end of the block, so that the transaction is given up.
    """
    lines = _since(session, about, seen, only)
    told = _sentence(session, lines) if lines else ""  # by the names of before the block
    before = newest_line(session)
    yield
    session.flush()
    if told and newest_line(session) > before:
        raise ChangedMeanwhile(told)


def _since(
    session: Session, about: ColumnElement[bool], seen: int | None, only: Collection[str]
) -> Sequence[EditRow]:
    if seen is None:
        return ()
    fields = EditRow.field.in_(only) if only else EditRow.field.not_in(BESIDE_THE_FORM)
    return session.scalars(select(EditRow).where(about, EditRow.id > seen, fields).order_by(EditRow.id)).all()


def _sentence(session: Session, lines: Sequence[EditRow]) -> str:
    ids = {line.person_id for line in lines}
    person = session.get(PersonRow, ids.pop()) if len(ids) == 1 and None not in ids else None
    what = ", ".join(dict.fromkeys(_words(line.field) for line in lines))
    who = person.name if person is not None else "Somebody"
    return (
        f"{who} changed this after you opened it ({what}). What you typed is still here: "
        "look it over and save it again."
    )


def _words(field: str) -> str:
    for end in _ENDS:
        field = field.removesuffix(end)
    return field.replace("_", " ")
