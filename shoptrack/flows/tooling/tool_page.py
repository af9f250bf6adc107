"""One tool → its page: how its edges survive, their lives, its book, its meter, what is cheapest."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.edge_curve import Curve, curve
from shoptrack.engine.edge_life import SOON, EdgeFit
from shoptrack.engine.edge_renewal import Cheapest, cheapest_h
from shoptrack.engine.shapes import EdgeLife, EdgeStands, Rack
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import Dues, Known
from shoptrack.flows.tooling.page import ToolLine, line_of
from shoptrack.flows.tooling.said import DeedLine, book_of
from shoptrack.store.edge_kinds import NamedTool

DRAWN_AT_LEAST = 0.03
"""The curve is drawn until so few edges are still sharp."""
SOON_SHARP = 1.0 - SOON
"""So many are still sharp when an edge is told as due soon."""


@dataclass(frozen=True, slots=True)
class LifeOf:
    """A life of an edge, the how-many-th of this edge it is, and the deeds on the edge while it lasted."""

    edge: str
    number: int
    life: EdgeLife
    deeds: tuple[datetime, ...]


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned of how long the edges of a tool last.

    ``age_h`` is what the edge that is on it has run; ``sharp_now`` the share of such edges still sharp then.
    """

    fit: EdgeFit
    curve: Curve
    usual_h: float
    soon_at_h: float
    age_h: float | None
    sharp_now: float | None


@dataclass(frozen=True, slots=True)
class ToolPage:
    """A tool's page. ``line`` and ``learned`` are None where it has no edge yet.

    ``costs_said``: what a sharpening and a dull edge cost is known; ``cheapest`` None then: early never pays.
    """

    now: datetime
    tool: NamedTool
    line: ToolLine | None
    edges: tuple[EdgeStands, ...]
    learned: Learned | None
    lives: tuple[LifeOf, ...]
    book: tuple[DeedLine, ...]
    meter_scale: float
    costs_said: bool
    cheapest: Cheapest | None

    @property
    def readings(self) -> tuple[DeedLine, ...]:
        """The readings of its hour meter, newest first."""
        return tuple(line for line in self.book if line.meter_h is not None)


def tool_page(sight: Sight, tool: NamedTool, rack: Rack, dues: Dues, known: Known | None) -> ToolPage:
    """What the page of a tool shows; ``known`` is what was learned of its edges, None: it has none."""
    stands = rack.tools.get(tool.id)
    kind, has_line = tool.kind, any(due.tool == tool.id for due in dues.of)
    costs_said = 0 < kind.renew_cents < kind.dull_cents
    pays = cheapest_h(known.fit, kind.renew_cents, kind.dull_cents) if known and costs_said else None
    return ToolPage(
        now=sight.now,
        tool=tool,
        line=line_of(sight, tool, rack, dues) if has_line else None,
        edges=stands.edges if stands is not None else (),
        learned=None if known is None else _learned(known, stands.fitted if stands is not None else None),
        lives=tuple(_lives(sight, (*stands.edges, *stands.past) if stands is not None else ())),
        book=book_of(sight, tool.id, rack.odd),
        meter_scale=stands.meter_scale if stands is not None else 1.0,
        costs_said=costs_said,
        cheapest=pays,
    )


def _learned(known: Known, on: EdgeStands | None) -> Learned:
    fit = known.fit
    age_h = on.effective_h if on is not None and not on.dull else None
    last = float(fit.left_quantiles(0.0, [1.0 - DRAWN_AT_LEAST])[0])
    until = max(last, (age_h or 0.0) * 1.1)
    return Learned(
        fit=fit,
        curve=curve(fit, until),
        usual_h=known.usual_h,
        soon_at_h=fit.soon_at_h(),
        age_h=age_h,
        sharp_now=None if age_h is None else 1.0 - fit.chance_dull(age_h),
    )


def _lives(sight: Sight, edges: tuple[EdgeStands, ...]) -> Iterator[LifeOf]:
    """The lives of all edges that began, cut anything or ended dull, edge by edge."""
    for stands in edges:
        deeds = [deed.at for deed in sight.replayed.deeds if deed.edge == stands.edge.id]
        told = [life for life in stands.lives if life.run_h > 0 or life.dull or life.from_at is not None]
        for number, life in enumerate(told, start=1):
            within = tuple(at for at in deeds if _within(life, at))
            yield LifeOf(stands.edge.name, number, life, within)


def _within(life: EdgeLife, at: datetime) -> bool:
    return (life.from_at is None or at > life.from_at) and (life.until_at is None or at < life.until_at)
