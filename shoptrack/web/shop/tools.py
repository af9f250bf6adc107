"""Tools and their edges → what kind of edge each has, where it is mounted, and every edge by name."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.flows.first_day.starting_edges import EDGE_OF, EDGES
from shoptrack.flows.record import tap
from shoptrack.store.db import Store
from shoptrack.store.edge_kinds import add_edge, add_edge_kind, edges_of, list_edge_kinds
from shoptrack.store.shop import list_stations
from shoptrack.store.tables import EdgeKindRow, EdgeRow, StationRow, ToolRow
from shoptrack.store.tools import USUAL_LIFE_H
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import count, length, length_field
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.edge_kinds_page import LEAST_LIFE_H, MOST_LIFE_H
from shoptrack.web.shop.stations import Choices, choices, chosen, same_length
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name

USUAL = "usual "
"""Before the name of a usual kind of edge that the shop does not have yet, in the list of the form."""


@dataclass(frozen=True, slots=True)
class NamedEdge:
    """An edge of a tool as its form shows it."""

    id: int
    name: str
    retired_at: datetime | None


@dataclass(frozen=True, slots=True)
class Tool:
    """What the form of a tool is filled with."""

    stations: Choices
    kinds: tuple[tuple[str, str], ...]
    name: str = ""
    kind: str = ""
    station: str = ""
    flute: str = ""
    life: str = ""
    usual_life: str = ""
    edges: tuple[NamedEdge, ...] = ()


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Tool:
    here = row and row.station_id and session.get(StationRow, row.station_id)
    stations = choices(list_stations(session), here)
    kind = None if row is None else session.get_one(EdgeKindRow, row.kind_id)
    kinds = _kinds(session, kind)
    if row is None or kind is None:
        return Tool(stations, kinds)
    return Tool(
        stations=stations,
        kinds=kinds,
        name=row.name,
        kind=str(row.kind_id),
        station=str(row.station_id or ""),
        flute=length_field(row.flute_mm, editor.wall),
        life=count(row.usual_life_h),
        usual_life=count(kind.usual_life_h),
        edges=tuple(NamedEdge(e.id, e.name, e.retired_at) for e in edges_of(session, row.id)),
    )


def _kinds(session: Session, here: EdgeKindRow | None) -> tuple[tuple[str, str], ...]:
    """The shop's own kinds of edge, then the usual ones that it does not have yet."""
    own = [(str(id_), name) for id_, name in choices(list_edge_kinds(session), here)]
    there = {name.casefold() for name in session.scalars(select(EdgeKindRow.name))}
    usual = [(USUAL + e.name, e.name) for e in EDGES if e.name.casefold() not in there]
    return (*own, *usual)


def line(session: Session, row: Any, editor: Editor) -> str:
    station = session.get(StationRow, row.station_id) if row.station_id else None
    edges = [e.name for e in edges_of(session, row.id) if e.retired_at is None]
    said = (
        session.get_one(EdgeKindRow, row.kind_id).name,
        f"on the {station.name}" if station is not None else "",
        f"cuts {length(row.flute_mm, editor.wall)} deep at most" if row.flute_mm else "",
        f"edges: {', '.join(edges)}" if len(edges) > 1 else "",
    )
    return ", ".join(part for part in said if part)


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a tool with its first edge, or say another name, kind, station or measure of one."""
    flute = forms.maybe_length(fields, "flute", "The length of its cutting edge", editor.wall)
    if row is not None and same_length(row.flute_mm, flute, editor):
        flute = row.flute_mm
    values: dict[str, Any] = {
        "name": take_name(session, ToolRow, row, fields),
        "station_id": chosen(session, StationRow, fields, "station", "The station"),
        "flute_mm": flute,
        "usual_life_h": forms.number(fields, "life", "Its usual life", LEAST_LIFE_H, MOST_LIFE_H),
        "kind_id": _kind(session, editor, fields).id,
    }
    if row is not None:
        change_row(session, editor, row, **values)
        return row
    row = ToolRow(**values)
    add_row(session, editor, row)
    first = forms.maybe_words(fields, "edge", "The name of its edge") or "first edge"
    add_edge(session, row.id, first, editor.who, editor.now)
    return row


def _kind(session: Session, editor: Editor, fields: Fields) -> EdgeKindRow:
    """The kind that was chosen, or that was written because it is in no list."""
    written = forms.maybe_words(fields, "new_kind", "What its edge is")
    if written:
        return _named(session, editor, written)
    said = fields.get("kind", "")
    if said.startswith(USUAL) and said.removeprefix(USUAL) in EDGE_OF:
        return _named(session, editor, said.removeprefix(USUAL))
    id_ = chosen(session, EdgeKindRow, fields, "kind", "What its edge is")
    if id_ is None:
        raise BadInput("What its edge is is missing: choose a kind, or write another.", "kind")
    return session.get_one(EdgeKindRow, id_)


def _named(session: Session, editor: Editor, name: str) -> EdgeKindRow:
    """The kind of this name: the shop's own, else a new one with what is usual as its starting values."""
    for row in session.scalars(select(EdgeKindRow)):
        if row.name.casefold() == name.casefold():
            return row
    usual = EDGE_OF.get(name)
    if usual is None:
        said: dict[str, Any] = {"usual_life_h": USUAL_LIFE_H}
    else:
        said = {"usual_life_h": usual.usual_life_h, "renewed": usual.renewed, "away_days": usual.away_days}
        said["most_renewals"] = usual.most_renewals
    return add_edge_kind(session, name, editor.who, editor.now, starting=True, **said)


def fit_first(store: Store, tool: int, editor: Editor) -> None:
    """Tap that the only edge of a new tool is on it; said twice it counts once."""
    with store.reading() as session:
        edges = edges_of(session, tool)
    if len(edges) == 1:
        fit(store, edges[0], editor)


def fit(store: Store, edge: EdgeRow, editor: Editor) -> None:
    """Tap that an edge is on its tool from now on."""
    id_, who = forms.form_id("first on", edge.tool_id, edge.id), editor.who
    tap(
        store,
        id=id_,
        person=who,
        kind="edge",
        now=editor.now,
        tool=edge.tool_id,
        edge=edge.id,
        choice="fitted",
    )


TOOLS = Thing(
    what="tools",
    title="Tools and edges",
    one="tool",
    intro="What has a cutting edge: a blade, a bit, knives, inserts, a plane iron; also the router’s waste "
    "board. A tool has one edge on it at a time, and perhaps spares.",
    table=ToolRow,
    order="id",
    line=line,
    shown=shown,
    write=write,
    dated=False,
    added=fit_first,
)
