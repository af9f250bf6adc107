"""Tools and what is foretold of their edges → the document of them that programs are given."""

from collections.abc import Iterable

from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.due import CutAhead, DueOf, Dues
from shoptrack.store.edge_kinds import NamedTool
from shoptrack.web.tools_shapes import CutDoc, EdgeDoc, HoursDoc, ToolDoc, ToolsDoc


def tools_doc(sight: Sight, tools: Iterable[NamedTool], dues: Dues) -> ToolsDoc:
    """The document of all tools in use, in the order in which they were added."""
    return ToolsDoc(
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=sight.now,
        number=dues.number,
        tools=tuple(_tool(tool, dues.of_tool(tool.id)) for tool in tools),
    )


def _tool(tool: NamedTool, own: tuple[DueOf, ...]) -> ToolDoc:
    known = own[0] if own else None
    return ToolDoc(
        id=tool.id,
        name=tool.name,
        kind=tool.kind.name,
        station=tool.station,
        renewed=tool.kind.renewed,
        away_days=tool.kind.away_days,
        usual_life_h=tool.kind.usual_life_h,
        starting=tool.kind.starting,
        life_h=None if known is None else _life(known),
        found_dull=0 if known is None else known.dull_lives,
        cut_short=0 if known is None else known.cut_short,
        fitted=next((each.edge for each in own if each.stands.where == "fitted"), None),
        edges=tuple(_edge(each) for each in sorted(own, key=lambda each: each.edge)),
    )


def _edge(due: DueOf) -> EdgeDoc:
    stands, gap = due.stands, due.gap
    return EdgeDoc(
        id=due.edge,
        name=stands.edge.name,
        where=stands.where,
        since=stands.since,
        run_h=round(stands.run_h, 3),
        effective_h=round(stands.effective_h, 3),
        dull=stands.dull,
        rough_only=stands.rough_only,
        sharpened=stands.renewals,
        back_on=stands.back_on,
        chance_dull=round(due.chance_dull, 4),
        left_h=_left(due),
        soon_on=due.soon_on,
        one_in_ten_by=due.p10_on,
        half_by=due.p50_on,
        nine_in_ten_by=due.p90_on,
        send_by=due.send_by_on,
        send_late=due.send_late,
        away_from=None if gap is None else gap.from_on,
        away_until=None if gap is None else gap.back_on,
        spare_covers=due.covered_by_spare,
        waits=tuple(place.stage for place in due.waits),
        cuts=tuple(_cut(cut) for cut in due.cuts),
    )


def _cut(cut: CutAhead) -> CutDoc:
    place = cut.place
    return CutDoc(place.stage, place.job, place.tag, place.name, cut.on, round(cut.effective_h, 3))


def _life(due: DueOf) -> HoursDoc:
    return _hours(due.life_h.p10_h, due.life_h.p50_h, due.life_h.p90_h)


def _left(due: DueOf) -> HoursDoc | None:
    left = due.left_h
    return None if left is None else _hours(left.p10_h, left.p50_h, left.p90_h)


def _hours(p10: float, p50: float, p90: float) -> HoursDoc:
    return HoursDoc(round(p10, 2), round(p50, 2), round(p90, 2))
