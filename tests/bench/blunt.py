"""Tools of the ten-year shop: their rows, and what is tapped of their edges as these wear by what is done."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import log
from random import Random
from typing import Any

from shoptrack.store.base import Base
from shoptrack.store.tables import EdgeKindRow, EdgeRow, ToolRow
from tests.bench.plans import PLANER, ROUTER, Step, rule_min

SAW, JOINTER, KNIVES, STRAIGHT, SPIRAL = 1, 2, 3, 4, 5
EDGES = {SAW: 3, JOINTER: 2, KNIVES: 2, STRAIGHT: 2, SPIRAL: 1}
"""How many edges each tool has; the last is replaced where it is, the others are sent."""
NAMES = {
    SAW: "saw blade",
    JOINTER: "jointer knives",
    KNIVES: "planer knives",
    STRAIGHT: "straight bit",
    SPIRAL: "spiral bit",
}
USUAL_H = 20.0
USES: Mapping[str, tuple[tuple[int, float], ...]] = {
    "milling": ((SAW, 0.2), (JOINTER, 0.3), (KNIVES, 0.4)),
    "flattening": ((KNIVES, 0.7),),
    "routing": ((STRAIGHT, 0.4), (SPIRAL, 0.5)),
}
HALF_H, SHAPE, AWAY = 11.0, 3.0, timedelta(days=6)
"""Hours by rule of thumb by which half of the edges are dull, how alike they are, how long one is away."""


def tool_rows(made_at: datetime) -> list[Base]:
    """The tools with their kinds and edges."""
    rows: list[Base] = []
    for tool, count in EDGES.items():
        renewed = "replaced" if tool == SPIRAL else "sent"
        kind = {"id": tool, "name": NAMES[tool], "usual_life_h": USUAL_H, "away_days": 4, "renew_cents": 4000}
        rows.append(EdgeKindRow(**kind, renewed=renewed, dull_cents=9000))
        station = ROUTER if tool in (STRAIGHT, SPIRAL) else PLANER
        rows.append(ToolRow(id=tool, name=NAMES[tool], kind_id=tool, station_id=station))
        names = (f"edge {n}" for n in range(1, count + 1))
        rows += [
            EdgeRow(id=edge_id(tool, n), tool_id=tool, name=name, added_at=made_at)
            for n, name in enumerate(names)
        ]
    return rows


def use_rows(step: Step) -> list[dict[str, object]]:
    """The tools that a stage uses."""
    return [{"stage_id": step.id, "tool_id": tool, "share": share} for tool, share in USES.get(step.kind, ())]


def edge_id(tool: int, place: int) -> int:
    """The number of a tool's edge."""
    return 10 * tool + place


@dataclass
class Blunt:
    """The edges while the years go by; what is tapped of them goes among the other ``taps`` of the day.

    ``left_h`` is what is left of the edge on each tool, by its place; ``away`` has the edges that are sent.
    """

    rng: Random
    taps: list[tuple[datetime, dict[str, Any]]]
    on: dict[int, int] = field(default_factory=dict)
    left_h: dict[int, float] = field(default_factory=dict)
    away: list[tuple[datetime, int, int]] = field(default_factory=list)

    def morning(self, opens: datetime) -> None:
        """On the first day the edges are put on; later those that were sent come back."""
        for tool in EDGES if not self.on else ():
            self._put_on(tool, 0, 1, opens)
        for back_at, tool, place in [one for one in self.away if one[0] <= opens]:
            self.away.remove((back_at, tool, place))
            self._tap(opens, 1, tool, "back", edge=edge_id(tool, place), cents=4000)

    def done(self, step: Step, person: int, at: datetime) -> None:
        """A stage was done: its edges wear, and what is dull is seen to."""
        for tool, share in USES.get(step.kind, ()):
            self.left_h[tool] -= rule_min(step.kind, step.quantity) * share / 60
            if self.left_h[tool] <= 0:
                self._tap(at + timedelta(seconds=5), person, tool, "found dull")
                self._renew(tool, person, at + timedelta(seconds=10))

    def _renew(self, tool: int, person: int, at: datetime) -> None:
        """The next edge that is here goes on and the dull one is sent; else it is made sharp as it is."""
        old, gone = self.on[tool], {place for _, other, place in self.away if other == tool}
        here = [place for place in range(EDGES[tool]) if place != old and place not in gone]
        if not here:
            self.left_h[tool] = self._life_h()
            self._tap(at, person, tool, "replaced" if tool == SPIRAL else "sharpened")
            return
        self._put_on(tool, here[0], person, at)
        back_on = (at + AWAY).date()
        sent = {"edge": edge_id(tool, old), "look_again_on": back_on}
        self._tap(at + timedelta(seconds=5), person, tool, "sent", **sent)
        self.away.append((at + AWAY, tool, old))

    def _put_on(self, tool: int, place: int, person: int, at: datetime) -> None:
        self.on[tool], self.left_h[tool] = place, self._life_h()
        self._tap(at, person, tool, "fitted", edge=edge_id(tool, place))

    def _life_h(self) -> float:
        scale_h: float = HALF_H / log(2) ** (1 / SHAPE)
        return self.rng.weibullvariate(scale_h, SHAPE)

    def _tap(self, at: datetime, person: int, tool: int, did: str, **said: object) -> None:
        made = {"id": f"{self.rng.getrandbits(128):032x}", "kind": "edge", "person": person}
        self.taps.append((at, {**made, "tool": tool, "choice": did, **said}))
