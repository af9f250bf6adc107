"""Woods and materials → how hard each is on an edge and what it costs, by date."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.engine.units import show_cents
from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import said_of, say_from
from shoptrack.store.tables import MaterialPriceRow, MaterialRow, MaterialWearRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import cents_field, count
from shoptrack.web.shop.dated import (
    Line,
    in_force_from_its_day,
    in_force_now,
    lines,
    lines_from_their_day,
)
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name

LEAST_WEAR, MOST_WEAR = 0.05, 50


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a material is filled with."""

    name: str = ""
    unit: str = ""
    wear: str = "1"
    price: str = ""
    starting: bool = False
    history: tuple[Line, ...] = ()
    prices: tuple[Line, ...] = ()


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    if row is None:
        return Shown()
    wears, prices = _wears(session, row), _prices(session, row)
    wear, price = in_force_now(wears, editor), in_force_from_its_day(prices, editor)
    return Shown(
        row.name,
        row.unit or "",
        "" if wear is None else f"{wear.factor:g}",
        "" if price is None else cents_field(price.cents, editor.wall),
        wear is not None and wear.starting,
        lines(wears, editor, lambda said: f"wear {said.factor:g}"),
        lines_from_their_day(prices, editor, lambda said: _price_words(row, said, editor)),
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    wear = in_force_now(_wears(session, row), editor)
    price = in_force_from_its_day(_prices(session, row), editor)
    said = [f"wear {count(wear.factor)}" if wear is not None else ""]
    said += [_price_words(row, price, editor) if price is not None else ""]
    said += ["starting value" if wear is not None and wear.starting else ""]
    return ", ".join(part for part in said if part)


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a material, or say its wear and its price from a date on."""
    name = take_name(session, MaterialRow, row, fields)
    unit = forms.maybe_words(fields, "unit", "The unit", 40) or None
    wear = forms.number(fields, "wear", "The wear", LEAST_WEAR, MOST_WEAR)
    if wear is None:
        raise BadInput("The wear is missing; 1 is the shop’s usual wood.", "wear")
    price = forms.maybe_cents(fields, "price", editor.wall.currency)
    if row is None:
        row = MaterialRow(name=name, unit=unit)
        add_row(session, editor, row)
    else:
        change_row(session, editor, row, name=name, unit=unit)
    owner, who = {"material_id": row.id}, editor.who
    begins_at, begins_on = editor.begins_at(fields), editor.begins_on(fields)
    say_from(session, MaterialWearRow, owner, begins_at, who, editor.now, factor=wear)
    if price is not None:
        say_from(session, MaterialPriceRow, owner, begins_on, who, editor.now, cents=price)
    return row


def _wears(session: Session, row: Any) -> Any:
    return said_of(session, MaterialWearRow, {"material_id": row.id})


def _prices(session: Session, row: Any) -> Any:
    return said_of(session, MaterialPriceRow, {"material_id": row.id})


def _price_words(row: Any, price: Any, editor: Editor) -> str:
    return show_cents(price.cents, editor.wall.currency) + (f" for {row.unit}" if row.unit else "")


MATERIALS = Thing(
    what="materials",
    title="Woods and materials",
    one="material",
    intro="What is cut and bought. The wear says how hard it is on an edge: 1 is the shop’s usual wood, "
    "2 dulls an edge twice as fast.",
    table=MaterialRow,
    order="name",
    line=line,
    shown=shown,
    write=write,
)
