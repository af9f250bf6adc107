"""Tools with their edges, and the materials that wear them."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.tables import EdgeKindRow, EdgeRow, MaterialRow, MaterialWearRow, ToolRow

USUAL_LIFE_H = 20.0
"""What edges of a kind are given that nobody has said more of."""


def edge_kind_named(session: Session, name: str) -> EdgeKindRow:
    """The kind of edge of this name, made with starting values where there is none yet."""
    row = session.scalar(select(EdgeKindRow).where(EdgeKindRow.name == name))
    if row is None:
        row = EdgeKindRow(name=name, usual_life_h=USUAL_LIFE_H, starting=True)
        session.add(row)
        session.flush()
    return row


def make_tool(session: Session, name: str, *, kind: str, station: int | None = None) -> ToolRow:
    """Add a tool with a cutting edge of a kind (by its name), and the station it is mounted at."""
    row = ToolRow(name=name, kind_id=edge_kind_named(session, kind).id, station_id=station)
    session.add(row)
    session.flush()
    return row


def make_edge(session: Session, tool: int, name: str, now: datetime) -> EdgeRow:
    """Add an edge to a tool. Where it is, the log says: until it was fitted it is a spare."""
    row = EdgeRow(tool_id=tool, name=name, added_at=now)
    session.add(row)
    session.flush()
    return row


def make_material(
    session: Session,
    name: str,
    *,
    wear: float,
    from_at: datetime,
    unit: str | None = None,
    starting: bool = False,
) -> MaterialRow:
    """Add a material, the unit it is bought by and how hard it is on an edge; 1 is the shop's usual wood."""
    row = MaterialRow(name=name, unit=unit)
    session.add(row)
    session.flush()
    set_wear(session, row.id, from_at=from_at, wear=wear, starting=starting)
    return row


def set_wear(
    session: Session, material: int, *, from_at: datetime, wear: float, starting: bool = False
) -> None:
    """Say how hard a material is on an edge from an instant on. Raises BadInput at nought or below."""
    if wear <= 0:
        raise BadInput("A material's wear must be above nought.", "wear")
    row = MaterialWearRow(material_id=material, from_at=from_at, factor=wear, starting=starting)
    session.add(row)
    session.flush()
