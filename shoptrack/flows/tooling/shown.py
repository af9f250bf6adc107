"""The database at an instant → what the Tools screen and the page of a tool show."""

from datetime import datetime

from shoptrack.errors import NotFound
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.dues import edges_of, reckon_dues
from shoptrack.flows.tooling.page import ToolsView, tools_view
from shoptrack.flows.tooling.tool_page import ToolPage, tool_page
from shoptrack.store.db import Store
from shoptrack.store.edge_kinds import list_tools


def show_tools(store: Store, now: datetime) -> ToolsView:
    """All tools with their edges as they stand now, and what is foretold of them by the plan as it is now."""
    sight = gather(store, now)
    planned = plan_now(store, sight)
    with store.reading() as session:
        edges, tools = edges_of(store, session, sight), list_tools(session)
    return tools_view(sight, tools, edges.rack, reckon_dues(edges, sight, planned))


def show_tool(store: Store, now: datetime, tool: int) -> ToolPage:
    """One tool, retired or not. Raises NotFound."""
    sight = gather(store, now)
    planned = plan_now(store, sight)
    with store.reading() as session:
        edges = edges_of(store, session, sight)
        named = next((each for each in list_tools(session, retired=True) if each.id == tool), None)
    if named is None:
        raise NotFound("There is no such tool.")
    dues = reckon_dues(edges, sight, planned)
    return tool_page(sight, named, edges.rack, dues, edges.known.get(tool))
