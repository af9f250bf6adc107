"""Tools, their edges and what is foretold of them → the Tools screen, what is due first on top."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.edge_life import SOON
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Calendar, EdgeStands, Rack
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import DueOf, Dues
from shoptrack.flows.tooling.due_by_plan import open_days
from shoptrack.store.edge_kinds import NamedTool

LONGEST_AWAY = timedelta(days=2 * 365)


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool with edges: ``on`` is the edge that is on it, ``due`` that one, or else the one due first.

    ``spare`` is the edge that can be put on instead. ``back_on`` is when an edge would be back that is sent
    today; None where its kind is not away for any days.
    """

    tool: NamedTool
    on: EdgeStands | None
    due: DueOf
    others: tuple[DueOf, ...]
    spare: EdgeStands | None
    back_on: date | None


@dataclass(frozen=True, slots=True)
class ToolsView:
    """The Tools screen at an instant; ``bare`` are the tools of which no edge was ever written down."""

    now: datetime
    lines: tuple[ToolLine, ...]
    bare: tuple[NamedTool, ...]

    @property
    def soon(self) -> int:
        """How many edges on their tools want somebody's eye: found dull, or likely so."""
        return sum(1 for line in self.lines if wants_an_eye(line.due))


def tools_view(sight: Sight, tools: Sequence[NamedTool], rack: Rack, dues: Dues) -> ToolsView:
    """All tools in use in the order in which their edges are due; those without an edge apart, by name.

    Empty: no tool, or none with an edge.
    """
    by_id = {tool.id: tool for tool in tools}
    order = list(dict.fromkeys(due.tool for due in dues.of if due.tool in by_id))
    lines = tuple(line_of(sight, by_id[tool], rack, dues) for tool in order)
    bare = sorted((tool for tool in tools if tool.id not in order), key=lambda tool: tool.name.casefold())
    return ToolsView(sight.now, lines, tuple(bare))


def line_of(sight: Sight, tool: NamedTool, rack: Rack, dues: Dues) -> ToolLine:
    """One tool that has edges."""
    own = [due for due in dues.of if due.tool == tool.id]
    stands = rack.tools[tool.id]
    on = stands.fitted
    first = next((due for due in own if on is not None and due.edge == on.edge.id), own[0])
    calendar = sight.world.calendar
    return ToolLine(
        tool=tool,
        on=on,
        due=first,
        others=tuple(due for due in own if due is not first),
        spare=next((each for each in _to_fit(stands.edges) if each is not on), None),
        back_on=back_on(calendar, local(calendar, sight.now).date(), tool.kind.away_days),
    )


def back_on(calendar: Calendar, today: date, away_days: int) -> date | None:
    """When an edge is back that is sent today, after its working days away; None: it is away for none."""
    if away_days == 0:
        return None
    days = open_days(calendar, today + timedelta(days=1), LONGEST_AWAY)
    return date.fromordinal(days[away_days - 1]) if len(days) >= away_days else None


def wants_an_eye(due: DueOf) -> bool:
    """Whether an edge on its tool was found dull, is likely dull, or is late to be sent with none instead."""
    if due.stands.where != "fitted":
        return False
    return due.stands.dull or likely_dull(due) or (due.send_late and not due.covered_by_spare)


def likely_dull(due: DueOf) -> bool:
    """Whether one in five such edges is dull by now, though this one was not found so."""
    return due.chance_dull >= SOON and not due.stands.dull


def _to_fit(edges: Iterable[EdgeStands]) -> list[EdgeStands]:
    """Those that may be put on, the one that has run least first."""
    whole = [each for each in edges if each.where == "spare" and each.usable and not each.dull]
    return sorted(whole, key=lambda each: (each.effective_h, each.edge.id))
