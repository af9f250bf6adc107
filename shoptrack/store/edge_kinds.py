"""Kinds of edge and the edges of tools: listed, as shapes, added and changed with their lines of history."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes.edges import EdgeKind, Renewed
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import EdgeKindRow, EdgeRow, StationRow, ToolRow


@dataclass(frozen=True, slots=True)
class NamedTool:
    """A tool in use: its name, what its edge is like, and the station it is mounted at, if at one."""

    id: int
    name: str
    kind: EdgeKind
    station: str


def list_tools(session: Session, *, retired: bool = False) -> tuple[NamedTool, ...]:
    """The tools in the order in which they were added; retired ones only where they are asked for too."""
    kinds = kinds_of_tools(session)
    chosen = select(ToolRow.id, ToolRow.name, StationRow.name).outerjoin(
        StationRow, StationRow.id == ToolRow.station_id
    )
    if not retired:
        chosen = chosen.where(ToolRow.retired_at.is_(None))
    rows = session.execute(chosen.order_by(ToolRow.id))
    return tuple(NamedTool(id_, name, kinds[id_], station or "") for id_, name, station in rows)


def list_edge_kinds(session: Session) -> list[EdgeKindRow]:
    """Those in use, by name."""
    living = select(EdgeKindRow).where(EdgeKindRow.retired_at.is_(None))
    return list(session.scalars(living.order_by(EdgeKindRow.name, EdgeKindRow.id)))


def edge_kinds(session: Session) -> Mapping[int, EdgeKind]:
    """Every kind of edge there ever was, by number."""
    return {row.id: edge_kind_of(row) for row in session.scalars(select(EdgeKindRow))}


def kinds_of_tools(session: Session) -> Mapping[int, EdgeKind]:
    """What the edge of each tool is like, by the tool; its own usual life where one was said."""
    kinds = edge_kinds(session)
    found = session.execute(select(ToolRow.id, ToolRow.kind_id, ToolRow.usual_life_h))
    return {id_: _own(kinds[kind], life_h) for id_, kind, life_h in found}


def edges_of(session: Session, tool: int) -> list[EdgeRow]:
    """The edges of a tool, those that are retired last."""
    own = select(EdgeRow).where(EdgeRow.tool_id == tool)
    return list(session.scalars(own.order_by(EdgeRow.retired_at.is_not(None), EdgeRow.id)))


def edge_kind_of(row: EdgeKindRow) -> EdgeKind:
    """A row as the shape that is reckoned with."""
    return EdgeKind(
        id=row.id,
        name=row.name,
        usual_life_h=row.usual_life_h,
        renewed=cast(Renewed, row.renewed),
        away_days=row.away_days,
        renew_cents=row.renew_cents,
        dull_cents=row.dull_cents,
        most_renewals=row.most_renewals,
        starting=row.starting,
    )


def add_edge_kind(
    session: Session, name: str, who: int | None, now: datetime, *, starting: bool = False, **said: object
) -> EdgeKindRow:
    """Add a kind of edge with what is said of it, and its line of history. ``starting``: nobody said it."""
    row = EdgeKindRow(name=name, starting=starting, **said)
    session.add(row)
    note_made(session, row, who, now)
    return row


def add_edge(session: Session, tool: int, name: str, who: int | None, now: datetime) -> EdgeRow:
    """Add an edge to a tool, with its line of history."""
    row = EdgeRow(tool_id=tool, name=name, added_at=now)
    session.add(row)
    note_made(session, row, who, now)
    return row


def change_edge_kind(session: Session, row: EdgeKindRow, who: int | None, now: datetime, **said: Any) -> None:
    """Say what a kind of edge is like: it is no starting value from then on."""
    edit(session, row, who, now, starting=False, **said)


def _own(kind: EdgeKind, life_h: float | None) -> EdgeKind:
    """The kind with a tool's own usual life, which somebody did say."""
    return kind if life_h is None else replace(kind, usual_life_h=life_h, starting=False)
