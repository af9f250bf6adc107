"""Kinds of edge → how long each usually lasts, how it is made sharp again, and what that costs."""

from dataclasses import dataclass
from typing import Any, get_args

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.edges import Renewed
from shoptrack.engine.units import show_cents
from shoptrack.errors import BadInput
from shoptrack.store.edge_kinds import add_edge_kind, change_edge_kind
from shoptrack.store.tables import EdgeKindRow
from shoptrack.web import forms, rights
from shoptrack.web.forms import Fields
from shoptrack.web.render import cents_field, count
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.thing import Thing, take_name

LEAST_LIFE_H, MOST_LIFE_H, MOST_AWAY, MOST_RENEWALS = 0.1, 10_000, 365, 1000
RENEWED = {
    "sent": "sent to the sharpener",
    "here": "sharpened or trued here",
    "turned": "turned to its next corner",
    "replaced": "replaced by a new one",
}
"""How an edge is made sharp again, in words."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a kind of edge is filled with."""

    name: str = ""
    life: str = ""
    renewed: str = "sent"
    away: str = "0"
    renew: str = ""
    dull: str = ""
    most: str = ""
    starting: bool = False


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    if row is None:
        return Shown()
    return Shown(
        name=row.name,
        life=count(row.usual_life_h),
        renewed=row.renewed,
        away=str(row.away_days),
        renew=cents_field(row.renew_cents, editor.wall) if row.renew_cents else "",
        dull=cents_field(row.dull_cents, editor.wall) if row.dull_cents else "",
        most="" if row.most_renewals is None else str(row.most_renewals),
        starting=row.starting,
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    away = f"{row.away_days} working {'day' if row.away_days == 1 else 'days'} away" if row.away_days else ""
    cost = row.renew_cents and rights.may_see_money()
    said = (
        f"usually lasts {count(row.usual_life_h)} h of cutting",
        RENEWED[row.renewed],
        away,
        f"{row.most_renewals} times at most" if row.most_renewals is not None else "",
        f"{show_cents(row.renew_cents, editor.wall.currency)} each time" if cost else "",
        "starting value" if row.starting else "",
    )
    return ", ".join(part for part in said if part)


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a kind of edge, or say what is new of it; it is no starting value then."""
    values: dict[str, Any] = {
        "name": take_name(session, EdgeKindRow, row, fields),
        "usual_life_h": _life_h(fields),
        "renewed": forms.choice(fields, "renewed", "How it is made sharp again", get_args(Renewed)),
        "away_days": _whole(fields, "away", "The days away", MOST_AWAY) or 0,
        "most_renewals": _whole(fields, "most", "The most sharpenings", MOST_RENEWALS),
    }
    if rights.may_see_money():
        values["renew_cents"] = forms.maybe_cents(fields, "renew", editor.wall.currency) or 0
        values["dull_cents"] = forms.maybe_cents(fields, "dull", editor.wall.currency) or 0
    if row is None:
        return add_edge_kind(session, values.pop("name"), editor.who, editor.now, **values)
    change_edge_kind(session, row, editor.who, editor.now, **values)
    return row


def _life_h(fields: Fields) -> float:
    found = forms.number(fields, "life", "The usual life", LEAST_LIFE_H, MOST_LIFE_H)
    if found is None:
        raise BadInput("The usual life is missing; a guess will do until the log knows.", "life")
    return found


def _whole(fields: Fields, name: str, called: str, most: int) -> int | None:
    typed = fields.get(name, "").strip()
    return forms.whole(fields, name, called, least=0, most=most) if typed else None


EDGE_KINDS = Thing(
    what="edge-kinds",
    title="Kinds of edge",
    one="kind of edge",
    intro="How long the edges of a kind usually last, in hours of cutting the shop’s usual wood, and how "
    "they are made sharp again. What was found dull wins over the usual life, tool by tool.",
    table=EdgeKindRow,
    order="name",
    line=line,
    shown=shown,
    write=write,
    dated=False,
)
