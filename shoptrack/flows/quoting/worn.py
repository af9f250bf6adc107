"""The tools of a quote's stages, and how long their edges last → what an hour of each stage takes of them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.edge_life import learn
from shoptrack.engine.edge_wear import lasting_h, wear_cents_per_h
from shoptrack.flows.shopfloor import shown_at, sight_of
from shoptrack.flows.tooling.due import Known
from shoptrack.flows.tooling.dues import edges_of
from shoptrack.store.db import Store
from shoptrack.store.edge_kinds import kinds_of_tools
from shoptrack.store.names import tool_names, wear_factors
from shoptrack.store.signs import read_signs

USUAL_WEAR = 1.0


@dataclass(frozen=True, slots=True)
class ToolWear:
    """What is known of the edges of a tool: what a sharpening costs, and the hours that it pays for.

    ``dull`` is how many were found dull: with none ``lasting_h`` is the usual life's.
    """

    name: str
    renew_cents: int
    lasting_h: float
    dull: int


@dataclass(frozen=True, slots=True)
class KeptEdge:
    """The edge of a tool as a stage of a quote wears it; ``wear`` of the wood, ``share`` of the minutes.

    ``cents_per_h`` is what an hour of the machine takes of it, of hands where there is none.
    """

    tool: int
    name: str
    share: float
    wear: float
    lasting_h: float
    renew_cents: int
    dull: int
    cents_per_h: float


@dataclass(frozen=True, slots=True)
class Worn:
    """All tools whose edges cost something, and how hard each material is on an edge."""

    tools: Mapping[int, ToolWear] = field(default_factory=dict)
    wears: Mapping[int, float] = field(default_factory=dict)

    def by(
        self, tools: Iterable[tuple[int, float]], material: int | None, people: int, watched: bool
    ) -> tuple[KeptEdge, ...]:
        """What a stage takes of its tools' edges; of a watched one the machine's minutes are nobody's."""
        wear = self.wears.get(material or 0, USUAL_WEAR)
        sharing = 1 if watched else people
        return tuple(
            KeptEdge(
                tool=tool,
                name=own.name,
                share=share,
                wear=wear,
                lasting_h=own.lasting_h,
                renew_cents=own.renew_cents,
                dull=own.dull,
                cents_per_h=wear_cents_per_h(own.lasting_h, own.renew_cents, share, wear, sharing),
            )
            for tool, share in tools
            if (own := self.tools.get(tool)) is not None
        )


NOT_WORN = Worn()


def worn_of(session: Session, known: Mapping[int, Known], now: datetime) -> Worn:
    """What is learned of the tools' edges; of those without an edge by the usual life of their kind.

    Empty: no tool's sharpening costs anything.
    """
    names = tool_names(session)
    tools = {
        tool: _tool(names[tool], known.get(tool), kind.renew_cents, kind.usual_life_h)
        for tool, kind in kinds_of_tools(session).items()
        if kind.renew_cents
    }
    return Worn(tools, wear_factors(session, now))


def learned_worn(store: Store, session: Session, now: datetime) -> Worn:
    """What the log teaches of the tools' edges, as this session sees it."""
    signs = read_signs(session)
    sight = sight_of(store, session, shown_at(now, signs.newest_at), at=signs.head)
    return worn_of(session, edges_of(store, session, sight).known, now)


def usually_worn(session: Session, now: datetime) -> Worn:
    """The same by the usual lives alone, whatever was logged."""
    return worn_of(session, {}, now)


def _tool(name: str, known: Known | None, renew_cents: int, usual_h: float) -> ToolWear:
    fit = known.fit if known is not None else learn((), usual_h)
    return ToolWear(name, renew_cents, round(lasting_h(fit), 2), fit.dull)


def cents_per_h(edges: Sequence[KeptEdge]) -> float:
    """What an hour takes of all of them."""
    return sum(edge.cents_per_h for edge in edges)
