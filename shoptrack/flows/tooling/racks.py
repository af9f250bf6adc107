"""The shop at an instant → its edges with the hours they ran; after a tap only what it changed is read."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine.edge_book import deeds_by_tool, tool_stands
from shoptrack.engine.edge_life import Life
from shoptrack.engine.shapes import Cut, Deed, Edge, Rack, ToolStands
from shoptrack.flows.at_hand import left_for
from shoptrack.flows.shopfloor import Sight
from shoptrack.store import worked
from shoptrack.store.db import Head, Store

Cuts = Mapping[int, Mapping[int, tuple[Cut, ...]]]
"""What each tool cut, by stage."""


@dataclass(frozen=True, slots=True)
class _Own:
    """A tool as it stands with its remarks, and all that this rests on."""

    edges: tuple[Edge, ...]
    deeds: tuple[Deed, ...]
    cuts: Mapping[int, tuple[Cut, ...]]
    stands: ToolStands
    odd: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class _Last:
    """What was found for a head of the database."""

    head: Head
    cuts: Cuts
    own: Mapping[int, _Own] = field(default_factory=dict)


def gather_rack(store: Store, session: Session, sight: Sight) -> Rack:
    """How all edges stand, with their lives in run and effective hours.

    Takes the sight whose log and world say what was done to them; what tools cut is read in this session.
    Empty: a tool without edges stands there with none.
    """
    with _TURN:
        last = _with_cuts(store, session, sight)
        own = _own(sight, last)
        _LAST[store] = _Last(last.head, last.cuts, own)
    odd = {entry: words for one in own.values() for entry, words in one.odd.items()}
    return Rack(sight.now, {tool: one.stands for tool, one in own.items()}, odd)


def cuts_since(store: Store, session: Session, sight: Sight, since: datetime) -> list[Cut]:
    """What the tools cut in stretches that ended after an instant, in no order."""
    with _TURN:
        last = _LAST[store] = _with_cuts(store, session, sight)
    return [
        cut for by_stage in last.cuts.values() for own in by_stage.values() for cut in own if cut.end > since
    ]


def lives_of(found: Rack, tool: int) -> tuple[Life, ...]:
    """What the edges of a tool teach, retired ones too: lives seen to their end, and those cut short.

    One that goes on is left out: how old it is comes into the question what is left of it, once. Empty:
    nothing it cut was ever logged. A life without hours says nothing: the log lacks its work.
    """
    stands = found.tools.get(tool)
    if stands is None:
        return ()
    ended = [life for one in stands.edges for life in one.lives if life.until_at is not None]
    ended += [life for one in stands.past for life in one.lives]
    return tuple(Life(life.effective_h, life.dull) for life in ended if life.effective_h > 0)


def _with_cuts(store: Store, session: Session, sight: Sight) -> _Last:
    """All that tools cut as of the head of the sight, with what was found for an older head."""
    last = _LAST.get(store)
    if last is not None and last.head == sight.head:
        return last
    recut = _recut(store, sight.head, last)
    if last is None or recut is None:
        return _Last(sight.head, _by_stage(worked.cuts(session)), last.own if last is not None else {})
    if not recut:
        return _Last(sight.head, last.cuts, last.own)
    new = _by_stage(worked.cuts(session, stages=recut))
    return _Last(sight.head, _joined(last.cuts, new, recut), last.own)


def _recut(store: Store, head: Head, last: _Last | None) -> frozenset[int] | None:
    """The stages of which what tools cut may be another since what was found last; None: any may."""
    left = left_for(store)
    if last is None or left is None or left.head != head or left.read_for is None:
        return None
    same = left.read_for.database_id == last.head.database_id == head.database_id
    if not same or left.read_for.revision > last.head.revision:
        return None
    return frozenset(stage for stage, since in left.recut.items() if since > last.head.revision)


def _by_stage(cuts: Iterable[Cut]) -> dict[int, dict[int, tuple[Cut, ...]]]:
    found: dict[int, dict[int, list[Cut]]] = {}
    for cut in cuts:
        found.setdefault(cut.tool, {}).setdefault(cut.stage, []).append(cut)
    return {tool: {stage: tuple(own) for stage, own in by.items()} for tool, by in found.items()}


def _joined(old: Cuts, new: Cuts, recut: frozenset[int]) -> Cuts:
    """The old with what is new of some stages; a tool of which nothing changed keeps the very same."""
    found = dict(old)
    for tool in old.keys() | new.keys():
        before, fresh = old.get(tool, {}), new.get(tool, {})
        if any(before.get(stage) != fresh.get(stage) for stage in recut):
            kept = {stage: own for stage, own in before.items() if stage not in recut}
            found[tool] = {**kept, **fresh}
    return found


def _own(sight: Sight, last: _Last) -> dict[int, _Own]:
    """Each tool as it stands; one of which nothing changed is not reckoned anew."""
    world = sight.world
    deeds = deeds_by_tool(sight.replayed.deeds, sight.now)
    edges: dict[int, list[Edge]] = {tool: [] for tool in world.tools}
    for edge in world.edges.values():
        edges.setdefault(edge.tool, []).append(edge)
    return {
        tool: _reckoned(tool, own, deeds.get(tool, ()), last.cuts.get(tool, _NO_CUTS), last.own.get(tool))
        for tool, own in sorted(edges.items())
    }


def _reckoned(
    tool: int,
    edges: Sequence[Edge],
    deeds: Sequence[Deed],
    cuts: Mapping[int, tuple[Cut, ...]],
    before: _Own | None,
) -> _Own:
    said = (tuple(edges), tuple(deeds))
    if before is not None and before.cuts is cuts and (before.edges, before.deeds) == said:
        return before
    stands, odd = tool_stands(tool, edges, deeds, (cut for own in cuts.values() for cut in own))
    return _Own(*said, cuts, stands, odd)


_NO_CUTS: Mapping[int, tuple[Cut, ...]] = {}
_TURN = Lock()
_LAST: "WeakKeyDictionary[Store, _Last]" = WeakKeyDictionary()
