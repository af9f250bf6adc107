"""What is foretold of edges, and what was found of them → the few that somebody is to see to now."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from shoptrack.engine.edge_life import SOON
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import EdgeStands, Stage, ToolStands
from shoptrack.flows.planning.dates import working_days
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import DueOf, Dues

SEND_WITHIN = 3
"""So many working days before an edge must leave the Floor says so."""
TONIGHT = 1
"""And so many before, what goes along tonight."""
CAUTION = "An early warning only. A dull edge comes out of service at once, whatever the date says."
"""Source: 29 CFR 1910.213(s): dull, badly set or improperly filed saws are taken out of service at once."""


@dataclass(frozen=True, slots=True)
class Dull:
    """A tool with a dull edge on it: what may be put on instead (none: its stages wait).

    ``rough_only``: dull for show cuts, still good for roughing.
    """

    tool: int
    name: str
    edge: EdgeStands
    rough_only: bool
    spare: EdgeStands | None


@dataclass(frozen=True, slots=True)
class EdgesSoon:
    """The tools with a dull edge on them, and the edges that are likely dull or must leave within days."""

    dull: tuple[Dull, ...] = ()
    due: tuple[DueOf, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.dull or self.due)

    def of_tools(self, tools: Iterable[int]) -> "EdgesSoon":
        """The same of some tools alone."""
        own = set(tools)
        return EdgesSoon(
            tuple(each for each in self.dull if each.tool in own),
            tuple(each for each in self.due if each.tool in own),
        )


NONE_SOON = EdgesSoon()


def edges_soon(sight: Sight, dues: Dues) -> EdgesSoon:
    """What is to be said of edges on the Floor. Empty: every edge is sharp for all that is known."""
    dull = tuple(dull_ones(sight.world.tools, sight.edges))
    today = local(sight.world.calendar, sight.now).date()
    said = {each.edge.edge.id for each in dull if not each.rough_only}
    soon = (each for each in dues.of if each.edge not in said and is_soon(sight, each, today))
    return EdgesSoon(dull, tuple(soon))


def dull_ones(names: Mapping[int, str], stands: Mapping[int, ToolStands]) -> Iterator[Dull]:
    """The tools whose edge was found dull and is still on them."""
    for tool, own in stands.items():
        on = own.fitted
        if on is not None and on.dull and tool in names:
            spare = next((each for each in own.edges if each is not on and _sharp(each)), None)
            yield Dull(tool, names[tool], on, on.rough_only, spare)


def is_soon(sight: Sight, due: DueOf, today: date) -> bool:
    """Whether it is likely dull, or must leave within three working days with nothing in its place."""
    if due.stands.where == "fitted" and due.chance_dull >= SOON and not due.stands.dull:
        return True
    return not due.covered_by_spare and leaves_within(sight, due, today, SEND_WITHIN)


def leaves_within(sight: Sight, due: DueOf, today: date, days: int) -> bool:
    """Whether an edge is to leave within so many working days."""
    if due.send_by_on is None:
        return False
    return due.send_late or working_days(sight.world.calendar, today, due.send_by_on) <= days


def to_send_tonight(sight: Sight, dues: Dues) -> tuple[DueOf, ...]:
    """The edges that go along tonight, to be back in time."""
    today = local(sight.world.calendar, sight.now).date()
    return tuple(
        due for due in dues.of if not due.covered_by_spare and leaves_within(sight, due, today, TONIGHT)
    )


def without_edge(sight: Sight, stage: Stage) -> tuple[str, ...]:
    """The tools of a stage that have edges, none of which may be used now."""
    tools = ((tool, sight.edges.get(tool)) for tool in stage.tools)
    return tuple(
        sight.world.tools[tool]
        for tool, own in tools
        if own is not None and own.edges and not any(edge.usable for edge in own.edges)
    )


def _sharp(edge: EdgeStands) -> bool:
    return edge.usable and not edge.dull
