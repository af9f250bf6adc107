"""Clamps → pools of one reach, with how many are owned by date."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import said_of, say_from
from shoptrack.store.tables import PoolCountRow, PoolRow
from shoptrack.store.uses import ever_planned
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import length, length_field
from shoptrack.web.shop.dated import Line, in_force_now, lines
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a clamp pool is filled with."""

    name: str = ""
    reach: str = ""
    owned: str = ""
    fixed: bool = False
    history: tuple[Line, ...] = ()


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    if row is None:
        return Shown()
    counts = said_of(session, PoolCountRow, {"pool_id": row.id})
    now = in_force_now(counts, editor)
    return Shown(
        row.name,
        length_field(row.reach_mm, editor.wall),
        "" if now is None else str(now.owned),
        ever_planned(session, row),
        lines(counts, editor, lambda count: f"{count.owned} clamps"),
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    count = in_force_now(said_of(session, PoolCountRow, {"pool_id": row.id}), editor)
    return f"reach {length(row.reach_mm, editor.wall)}, {count.owned if count is not None else 0} owned"


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add clamps of one reach, or say how many there are from a date on."""
    name = take_name(session, PoolRow, row, fields)
    reach = _reach(session, row, editor, fields)
    owned = forms.whole(fields, "owned", "How many there are", least=0)
    if row is None:
        row = PoolRow(name=name, reach_mm=reach)
        add_row(session, editor, row)
    else:
        change_row(session, editor, row, name=name, reach_mm=reach)
    begins_at = editor.begins_at(fields)
    say_from(session, PoolCountRow, {"pool_id": row.id}, begins_at, editor.who, editor.now, owned=owned)
    return row


def _reach(session: Session, row: Any, editor: Editor, fields: Fields) -> int:
    found = forms.maybe_length(fields, "reach", "The reach", editor.wall, 10_000)
    if found is None or round(found) < 1:
        raise BadInput("The reach is missing.", "reach")
    if row is None or length_field(row.reach_mm, editor.wall) == length_field(found, editor.wall):
        return round(found) if row is None else int(row.reach_mm)
    if ever_planned(session, row):
        raise BadInput("Work was planned with this reach; add clamps of another reach beside them.", "reach")
    return round(found)


CLAMPS = Thing(
    what="clamps",
    title="Clamps",
    one="clamp pool",
    intro="Clamps of one reach are counted together; a longer one may stand in for a shorter.",
    table=PoolRow,
    order="reach_mm",
    line=line,
    shown=shown,
    write=write,
)
