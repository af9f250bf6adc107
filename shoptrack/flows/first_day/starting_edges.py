"""The usual kinds of edge of a small shop, each with a usual life and how it is made sharp again."""

from dataclasses import dataclass

from shoptrack.engine.shapes.edges import Renewed

# Every life, number of days and of sharpenings here is common practice, no source: to put one's own over.


@dataclass(frozen=True, slots=True)
class StartingEdge:
    """A kind of edge: its usual life in effective hours, and how it is made sharp again.

    ``away_days`` are working days at the sharpener; ``most_renewals`` None: nobody counts them.
    """

    name: str
    usual_life_h: float
    renewed: Renewed
    away_days: int = 0
    most_renewals: int | None = None


EDGES = (
    StartingEdge("saw blade", 30, "sent", 5, 10),
    StartingEdge("band saw blade", 15, "replaced"),
    StartingEdge("straight router bit", 8, "sent", 5, 3),
    StartingEdge("spiral bit", 8, "replaced"),
    StartingEdge("V bit", 6, "replaced"),
    StartingEdge("planer knives", 20, "sent", 5, 15),
    StartingEdge("jointer knives", 25, "sent", 5, 15),
    StartingEdge("inserts", 25, "turned", 0, 3),
    StartingEdge("plane iron", 3, "here"),
    StartingEdge("chisel", 3, "here"),
    StartingEdge("waste board", 20, "here", 0, 12),
)
"""Hours are those of cutting the shop's usual wood; a waste board is trued by the router."""

EDGE_OF = {edge.name: edge for edge in EDGES}
