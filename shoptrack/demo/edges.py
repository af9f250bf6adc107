"""Kinds of edge, tools and the edges of the invented shop, and how long these truly last; written down."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.edges import Renewed
from shoptrack.store.edge_kinds import add_edge, add_edge_kind
from shoptrack.store.tables import EdgeKindRow, ToolRow
from shoptrack.store.tools import make_tool


@dataclass(frozen=True, slots=True)
class KindOf:
    """A kind of edge as the shop thinks of it; all amounts are invented.

    ``starting``: nobody has said yet how long they last here.
    """

    name: str
    usual_life_h: float
    renewed: Renewed
    away_days: int = 0
    renew_cents: int = 0
    dull_cents: int = 0
    most_renewals: int | None = None
    starting: bool = False


KINDS = (
    KindOf("saw blade", 6, "sent", 4, 2600, 7500, 10),
    KindOf("jointer knives", 10, "sent", 3, 3400, 9000, 15),
    KindOf("planer knives", 12, "sent", 3, 5200, 14000, 12),
    KindOf("band saw blade", 5, "sent", 3, 2200, 6000, 8),
    KindOf("spiral bit", 8, "replaced", 0, 3100, 11500),
    KindOf("V bit", 6, "replaced", 0, 2700, 11500, starting=True),
    KindOf("inserts", 5, "turned", 0, 650, 9500, 3),
)


@dataclass(frozen=True, slots=True)
class ToolOf:
    """A tool with the names of its edges, and the truth that nobody knows: Weibull lives of its edges.

    ``half_h`` are the effective hours by which half of them are dull.
    """

    name: str
    kind: str
    station: str
    edges: tuple[str, ...]
    half_h: float
    shape: float
    flute_mm: float | None = None


TOOLS = (
    ToolOf("40-tooth saw blade", "saw blade", "table saw", ("blade A", "blade B"), 4.6, 3.4),
    ToolOf("jointer knives", "jointer knives", "jointer", ("set A", "set B"), 8.8, 3.0),
    ToolOf("planer knives", "planer knives", "planer", ("set A", "set B"), 12.0, 7.0),
    ToolOf("3/4 band saw blade", "band saw blade", "band saw", ("the long blade",), 4.2, 2.6),
    ToolOf("1/8 upcut bit", "spiral bit", "router table", ("bit 1",), 6.2, 2.8, flute_mm=12.7),
    ToolOf("60° V-bit", "V bit", "router table", ("bit 1",), 5.4, 2.8, flute_mm=15.9),
    ToolOf("surfacing inserts", "inserts", "router table", ("set 1", "set 2"), 4.4, 3.6),
)


@dataclass(frozen=True)
class Rack:
    """Ids by name: the tools, and the edges of each."""

    tools: Mapping[str, int]
    edges: Mapping[str, Mapping[str, int]]


def write_rack(session: Session, stations: Mapping[str, int], who: int, opened_at: datetime) -> Rack:
    """Write down what hangs on the wall on the first day; what is on which tool, the log says."""
    for kind in KINDS:
        _write_kind(session, kind, who, opened_at)
    rows = {
        tool.name: make_tool(session, tool.name, kind=tool.kind, station=stations[tool.station])
        for tool in TOOLS
    }
    for tool in TOOLS:
        rows[tool.name].flute_mm = tool.flute_mm
    return Rack(
        tools={name: row.id for name, row in rows.items()},
        edges={tool.name: _write_edges(session, tool, rows[tool.name], who, opened_at) for tool in TOOLS},
    )


def _write_kind(session: Session, kind: KindOf, who: int, opened_at: datetime) -> EdgeKindRow:
    return add_edge_kind(
        session,
        kind.name,
        None if kind.starting else who,
        opened_at,
        starting=kind.starting,
        usual_life_h=kind.usual_life_h,
        renewed=kind.renewed,
        away_days=kind.away_days,
        renew_cents=kind.renew_cents,
        dull_cents=kind.dull_cents,
        most_renewals=kind.most_renewals,
    )


def _write_edges(session: Session, tool: ToolOf, row: ToolRow, who: int, at: datetime) -> dict[str, int]:
    rows = {name: add_edge(session, row.id, name, who, at) for name in tool.edges}
    session.flush()
    return {name: edge.id for name, edge in rows.items()}
