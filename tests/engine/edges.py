"""A saw with its blades, and a pencil for what is done to them, for tests of edges."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from shoptrack.engine.edge_book import rack
from shoptrack.engine.shapes import Cut, Deed, Edge, EdgeStands, Rack, ToolStands
from shoptrack.engine.shapes.edges import Did

SAW, BIT = 1, 2
A, B, C = 11, 12, 21
EDGES = {A: Edge(A, SAW, "A"), B: Edge(B, SAW, "B"), C: Edge(C, BIT, "C")}
DAY = datetime(2026, 3, 2, 8, tzinfo=UTC)


def hour(h: float) -> datetime:
    """So many hours after a Monday's eight o'clock."""
    return DAY + timedelta(hours=h)


@dataclass
class Saw:
    """What was done and cut, hour by hour; the first blade is on from the beginning."""

    deeds: list[Deed] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)

    @classmethod
    def fitted(cls, edge: int = A) -> "Saw":
        saw = cls()
        saw.did(0, "fitted", edge)
        return saw

    def did(
        self,
        h: float,
        did: Did,
        edge: int | None = None,
        *,
        tool: int = SAW,
        minutes: float | None = None,
        back_on: date | None = None,
    ) -> str:
        entry = f"e{len(self.deeds) + 1}"
        self.deeds.append(Deed(entry, hour(h), did, tool, edge, minutes=minutes, back_on=back_on))
        return entry

    def cut(self, start: float, end: float, *, run_h: float | None = None, wear: float = 1.0) -> None:
        minutes = 60.0 * (end - start if run_h is None else run_h)
        self.cuts.append(Cut(SAW, 1, hour(start), hour(end), minutes, wear))

    def rack(self, now: float = 1000) -> Rack:
        return rack((SAW, BIT), EDGES, self.deeds, self.cuts, hour(now))

    def stands(self, now: float = 1000) -> ToolStands:
        return self.rack(now).tools[SAW]

    def edge(self, edge: int, now: float = 1000) -> EdgeStands:
        return next(e for e in (*self.stands(now).edges, *self.stands(now).past) if e.edge.id == edge)
