"""The shop at an instant → its edges as they stand, what was learned of each tool, and when each is due."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import lru_cache

from sqlalchemy.orm import Session

from shoptrack.engine.edge_life import EdgeFit, Life, learn
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Cut, Rack
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import Dues, Known, keep_dues, kept_dues
from shoptrack.flows.tooling.due_by_plan import dues_of, open_days
from shoptrack.flows.tooling.racks import cuts_since, gather_rack, lives_of
from shoptrack.store.db import Store
from shoptrack.store.edge_kinds import NamedTool, kinds_of_tools, list_tools
from shoptrack.store.names import tool_names

LATELY = timedelta(weeks=8)
"""What comes after the plan is taken to be like these last weeks."""


@dataclass(frozen=True, slots=True)
class Edges:
    """Every tool with edges as it stands, and what is known of how long they last."""

    rack: Rack
    known: Mapping[int, Known]


def edges_of(store: Store, session: Session, sight: Sight) -> Edges:
    """How the edges stand and what was learned of them. Empty: no tool has an edge."""
    rack = gather_rack(store, session, sight)
    kinds, names = kinds_of_tools(session), tool_names(session)
    lately = _lately_h(sight, cuts_since(store, session, sight, sight.now - LATELY))
    known = {
        tool: Known(
            name=names[tool],
            kind=kinds[tool],
            usual_h=kinds[tool].usual_life_h,
            fit=_learn(tuple(lives_of(rack, tool)), kinds[tool].usual_life_h),
            lately_h=lately.get(tool, 0.0),
        )
        for tool in rack.tools
        if rack.tools[tool].edges
    }
    return Edges(rack, known)


def dues_now(store: Store, session: Session, sight: Sight, planned: Planned) -> Dues:
    """When the edges are due by the plan that is shown: as it was found last, else found now and kept."""
    kept = kept_dues(store, sight, planned.number)
    if kept is None:
        kept = reckon_dues(edges_of(store, session, sight), sight, planned)
        keep_dues(store, kept)
    return kept


def tools_and_dues(store: Store, sight: Sight, planned: Planned) -> tuple[tuple[NamedTool, ...], Dues]:
    """The tools in use, and when their edges are due by a plan."""
    with store.reading() as session:
        return list_tools(session), dues_now(store, session, sight, planned)


def refresh_dues(store: Store, sight: Sight, planned: Planned) -> Dues:
    """Find when the edges are due by the plan that is shown, and keep it for the pages."""
    with store.reading() as session:
        return dues_now(store, session, sight, planned)


def reckon_dues(edges: Edges, sight: Sight, planned: Planned) -> Dues:
    """When the edges are due by a plan."""
    return dues_of(sight, planned, edges.rack, edges.known)


def _lately_h(sight: Sight, cuts: Sequence[Cut]) -> Mapping[int, float]:
    """The effective hours of each tool on a working day of the last eight weeks."""
    calendar = sight.world.calendar
    since = local(calendar, sight.now - LATELY).date()
    days = len(open_days(calendar, since, LATELY))
    found: dict[int, float] = {}
    for cut in cuts:
        found[cut.tool] = found.get(cut.tool, 0.0) + cut.effective_h
    return {tool: hours / days for tool, hours in found.items()} if days else {}


@lru_cache(maxsize=512)
def _learn(lives: tuple[Life, ...], usual_h: float) -> EdgeFit:
    return learn(lives, usual_h)
