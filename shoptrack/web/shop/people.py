"""The people who work here → their names, their places on the Bench, and what is not theirs to do."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.store.hours import week_on, weeks_of
from shoptrack.store.pins import holders
from shoptrack.store.shop import every_kind
from shoptrack.store.skills import never_of, never_words, say_never
from shoptrack.store.tables import PersonRow
from shoptrack.web.forms import Fields
from shoptrack.web.render import minutes
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, add_row, change_row, end_of_list, take_name


@dataclass(frozen=True, slots=True)
class KindTick:
    """A kind of stage with the field of its tick, and whether it is not this person's to do."""

    kind: int
    field: str
    name: str
    never: bool


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a person is filled with."""

    name: str
    kinds: tuple[KindTick, ...]


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    return Shown("" if row is None else row.name, _ticks(session, row))


def _ticks(session: Session, row: Any) -> tuple[KindTick, ...]:
    """The kinds of stage in use, and those that are ticked though they are retired."""
    never = frozenset[int]() if row is None else never_of(session, row.id)
    rows = sorted(every_kind(session).values(), key=lambda kind: (kind.position, kind.id))
    known = [kind for kind in rows if kind.retired_at is None or kind.id in never]
    return tuple(KindTick(kind.id, f"never-{kind.id}", kind.name, kind.id in never) for kind in known)


def line(session: Session, row: Any, editor: Editor) -> str:
    own = week_on(weeks_of(session, row.id), editor.today)
    hours = "the shop’s hours" if own is None else f"own hours, {minutes(own.minutes)} a week"
    said = [hours, "has a PIN"] if row.id in holders(session) else [hours]
    never = never_words(session, row.id)
    return ", ".join([*said, f"does not do {never}"] if never else said)


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a person, or give one another name, and say what they don't do."""
    name = take_name(session, PersonRow, row, fields)
    never = {tick.kind for tick in _ticks(session, row) if fields.get(tick.field)}
    if row is None:
        row = PersonRow(name=name, position=end_of_list(session, PersonRow))
        add_row(session, editor, row)
    else:
        change_row(session, editor, row, name=name)
    say_never(session, row, never, editor.who, editor.now)
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
