"""What all things of the shop have in common: a list, a form, a page of its own, a place, an end."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.base import Base
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import EditRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.shop.door import Editor

DOUBLE_TAP = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class Thing:
    """One kind of thing of the shop with its words and what its pages do.

    ``line`` tells one of them in a few words; ``shown`` gives what its form is filled with (None: an empty
    one); ``write`` takes what was posted, for a new one where the row is None, and gives the row. ``placed``:
    they have an order of their own. ``added``: what is tapped of a new one, once it is written.
    """

    what: str
    title: str
    one: str
    intro: str
    table: type[Any]
    order: str
    line: Callable[[Session, Any, Editor], str]
    shown: Callable[[Session, Any, Editor, Fields], object]
    write: Callable[[Session, Any, Editor, Fields], Any]
    placed: bool = False
    dated: bool = True
    added: Callable[[Store, int, Editor], None] | None = None

    def rows(self, session: Session, *, retired: bool = False) -> Sequence[Any]:
        """Those in use, or the retired ones, in their order."""
        ended = self.table.retired_at
        chosen = select(self.table).where(ended.is_not(None) if retired else ended.is_(None))
        first = getattr(self.table, self.order)
        return session.scalars(chosen.order_by(first, self.table.id)).all()

    def row(self, session: Session, id_: int) -> Any:
        """One of them. Raises NotFound."""
        row = session.get(self.table, id_)
        if row is None:
            raise NotFound(f"There is no such {self.one}.")
        return row


def take_name(session: Session, table: type[Any], row: Any, fields: Fields, called: str = "The name") -> str:
    """The name that was written. Raises BadInput where another of them has it, in use or retired."""
    name = forms.words(fields, "name", called)
    for other in session.scalars(select(table)):
        if other.name.casefold() == name.casefold() and other is not row:
            where = "that is retired; bring it back" if other.retired_at else "already"
            raise BadInput(f"There is a “{other.name}” {where}.", "name")
    return name


def just_added(session: Session, table: type[Any], editor: Editor, fields: Fields) -> Any:
    """What the same form has added a moment ago, when it is sent twice; else None."""
    name = " ".join(fields.get("name", "").split()).casefold()
    made = select(EditRow.row_id).where(
        EditRow.table_name == table.__tablename__,
        EditRow.field == "made",
        EditRow.at >= editor.now - DOUBLE_TAP,
        EditRow.person_id.is_not_distinct_from(editor.who),
    )
    rows: Sequence[Any] = session.scalars(select(table).where(table.id.in_(made))).all()
    return next((row for row in rows if row.name.casefold() == name), None)


def add_row(session: Session, editor: Editor, row: Base) -> None:
    """Add a row with its line of history."""
    session.add(row)
    note_made(session, row, editor.who, editor.now)


def change_row(session: Session, editor: Editor, row: Base, **values: Any) -> None:
    """Change a row with its lines of history."""
    edit(session, row, editor.who, editor.now, **values)


def end_of_list(session: Session, table: type[Any]) -> int:
    """The place after the last of them."""
    return (session.scalar(select(func.max(table.position))) or 0) + 1


def put_at(session: Session, thing: Thing, row: Any, place: int, editor: Editor) -> None:
    """Put one of them at a place of the list, counted from 1; the others make room."""
    others = [other for other in thing.rows(session) if other is not row]
    others.insert(max(place, 1) - 1, row)
    for position, other in enumerate(others, start=1):
        change_row(session, editor, other, position=position)


def set_retired(session: Session, row: Any, retired: bool, editor: Editor) -> None:
    """Retire it, or bring it back; said twice it is done once."""
    if (row.retired_at is not None) != retired:
        ended_at: datetime | None = editor.now if retired else None
        change_row(session, editor, row, retired_at=ended_at)
