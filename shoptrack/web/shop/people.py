"""The people who work here → their names and their places on the Bench."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.store.hours import week_on, weeks_of
from shoptrack.store.pins import holders
from shoptrack.store.tables import PersonRow
from shoptrack.web.forms import Fields
from shoptrack.web.render import minutes
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, add_row, change_row, end_of_list, take_name


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a person is filled with."""

    name: str = ""


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    return Shown() if row is None else Shown(row.name)


def line(session: Session, row: Any, editor: Editor) -> str:
    own = week_on(weeks_of(session, row.id), editor.today)
    hours = "the shop’s hours" if own is None else f"own hours, {minutes(own.minutes)} a week"
    return f"{hours}, has a PIN" if row.id in holders(session) else hours


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a person, or give one another name."""
    name = take_name(session, PersonRow, row, fields)
    if row is None:
        row = PersonRow(name=name, position=end_of_list(session, PersonRow))
        add_row(session, editor, row)
    else:
        change_row(session, editor, row, name=name)
    return row


PEOPLE = Thing(
    what="people",
    title="People",
    one="person",
    intro="Their names stand on the Bench in this order.",
    table=PersonRow,
    order="position",
    line=line,
    shown=shown,
    write=write,
    placed=True,
    dated=False,
)
