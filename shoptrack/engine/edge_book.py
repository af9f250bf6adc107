"""What was done to edges, and what tools cut → where each edge is, its lives in run hours, what is away."""

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from shoptrack.engine.edge_meter import metered
from shoptrack.engine.edge_tool import EdgeDraft, Tool
from shoptrack.engine.shapes import FAR, Cut, Deed, Edge, EdgeStands, Rack, ToolStands

Span = tuple[datetime, datetime]
Away = Mapping[int, tuple[Span, ...]]
"""Tools that have no edge to cut with, by number: from when until when."""


def rack(
    tools: Collection[int],
    edges: Mapping[int, Edge],
    deeds: Iterable[Deed],
    cuts: Iterable[Cut],
    now: datetime,
) -> Rack:
    """How all edges stand at ``now``.

    Takes the numbers of the tools; the edges that are kept (those retired are left out: their lives count,
    and stand apart); deeds as replay gives them, those of one instant in their order; cuts in any order.
    Gives every tool with its edges in the order of their numbers. What can't be is taken as the person says,
    with a remark in ``odd``. Empty: a tool without deeds has its edges as spares, none of them ever run.
    Method: a cut goes to the edge that was on the tool, split at the instants of the deeds, linear in time;
    two readings of the tool's meter say what truly ran between them.
    """
    by_tool = deeds_by_tool(deeds, now)
    cut_by: dict[int, list[Cut]] = {}
    for cut in cuts:
        cut_by.setdefault(cut.tool, []).append(cut)
    stands, odd = {}, dict[str, str]()
    for number in sorted({*tools, *(e.tool for e in edges.values())}):
        own = [e for e in edges.values() if e.tool == number]
        stands[number], remarks = tool_stands(number, own, by_tool.get(number, ()), cut_by.get(number, ()))
        odd |= remarks
    return Rack(now, stands, odd)


def tool_stands(
    number: int, edges: Collection[Edge], deeds: Sequence[Deed], cuts: Iterable[Cut]
) -> tuple[ToolStands, dict[str, str]]:
    """How one tool stands, and remarks by entry.

    Takes its number, its edges that are kept, its own deeds in order and its own cuts. Empty: as of ``rack``.
    """
    ran = metered(deeds, *_between(deeds, cuts))
    odd = dict(ran.odd)
    tool = Tool(number, edges, odd)
    tool.run(ran.run_h[0], ran.effective_h[0])
    for deed, run_h, effective_h in zip(deeds, ran.run_h[1:], ran.effective_h[1:], strict=True):
        tool.take(deed)
        tool.run(run_h, effective_h)
    tool.close()
    kept = {edge.id for edge in edges}
    own = sorted(tool.edges.values(), key=lambda draft: draft.edge.id)
    stands = {draft.edge.id: _stands(draft) for draft in own}
    found = ToolStands(
        tool=number,
        fitted=stands[tool.fitted.edge.id] if tool.fitted is not None else None,
        edges=tuple(one for number, one in stands.items() if number in kept),
        meter_scale=ran.last,
        past=tuple(one for number, one in stands.items() if number not in kept),
    )
    return found, odd


def _stands(draft: EdgeDraft) -> EdgeStands:
    return EdgeStands(
        edge=draft.edge,
        where=draft.where,
        since=draft.since,
        run_h=draft.run_h,
        effective_h=draft.effective_h,
        dull=draft.dull,
        rough_only=draft.rough_only,
        renewals=draft.renewals,
        back_on=draft.back_on if draft.where == "away" else None,
        lives=draft.all_lives(),
    )


def _between(deeds: Sequence[Deed], cuts: Iterable[Cut]) -> tuple[list[float], list[float]]:
    """Run and effective hours before the first deed, between each and the next, and after the last."""
    instants = [deed.at for deed in deeds]
    run, effective = [0.0] * (len(instants) + 1), [0.0] * (len(instants) + 1)
    for cut in cuts:
        hours = cut.run_min / 60.0
        first, last = bisect_right(instants, cut.start), bisect_right(instants, cut.end)
        if first == last:
            run[first] += hours
            effective[first] += hours * cut.wear
        else:
            ends = [cut.start, *instants[first:last], cut.end]
            length = (cut.end - cut.start).total_seconds()
            for place, (start, end) in enumerate(pairwise(ends), start=first):
                part = hours * ((end - start).total_seconds() / length)
                run[place] += part
                effective[place] += part * cut.wear
    return run, effective


def away(
    edges: Mapping[int, Edge], deeds: Iterable[Deed], now: datetime, back_at: Callable[[date], datetime]
) -> Away:
    """Tools whose edges are all away, broken, worn out or dull, with the time in which they can't cut.

    Takes the edges that are kept, deeds as replay gives them, and what instant of a day an edge can be back
    at. Gives, for each tool that has edges and none to cut with, from ``now`` until the first that was sent
    is expected; one that should have been back is expected at the next such instant; FAR where none is.
    Empty: every tool with edges has one. A tool of which no edge was ever written down is never here.
    """
    by_tool = deeds_by_tool(deeds, now)
    found: dict[int, tuple[Span, ...]] = {}
    for number in sorted({edge.tool for edge in edges.values()}):
        tool = Tool(number, [e for e in edges.values() if e.tool == number], {})
        for deed in by_tool.get(number, ()):
            tool.take(deed)
        own = [_stands(draft) for draft in tool.edges.values() if draft.edge.id in edges]
        if not any(one.usable for one in own):
            days = [one.back_on for one in own if one.back_on is not None]
            found[number] = ((now, _back(min(days), now, back_at) if days else FAR),)
    return found


def _back(on: date, now: datetime, back_at: Callable[[date], datetime]) -> datetime:
    on = max(on, now.date() - timedelta(days=1))
    while (at := back_at(on)) <= now:
        on += timedelta(days=1)
    return at


def deeds_by_tool(deeds: Iterable[Deed], now: datetime) -> dict[int, list[Deed]]:
    """Deeds up to an instant by tool, each in order; those of one instant stay as they came."""
    found: dict[int, list[Deed]] = {}
    for deed in sorted(deeds, key=lambda d: d.at):
        if deed.at <= now:
            found.setdefault(deed.tool, []).append(deed)
    return found
