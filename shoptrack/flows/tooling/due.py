"""What is foretold of each edge for the plan that is shown, kept for the pages that say it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from threading import Lock
from weakref import WeakKeyDictionary

from shoptrack.engine.edge_life import EdgeFit, LifeRange
from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Deed, EdgeKind, EdgeStands
from shoptrack.flows.planning.worthwhile import PlaceOf
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.db import Store


@dataclass(frozen=True, slots=True)
class Known:
    """What the dues of the edges of a tool rest on, beside the plan.

    ``fit`` is what was learned of all its edges; ``lately_h`` are the effective hours of a working day in the
    last eight weeks.
    """

    name: str
    kind: EdgeKind
    usual_h: float
    fit: EdgeFit
    lately_h: float = 0.0


@dataclass(frozen=True, slots=True)
class CutAhead:
    """What an edge is to cut of a stage by the plan: the day it begins, and the effective hours."""

    place: PlaceOf
    on: date
    effective_h: float


@dataclass(frozen=True, slots=True)
class Gap:
    """The days on which an edge is at the sharpener if it leaves when it must: back on ``back_on``.

    ``covered``: a spare can cut meanwhile what is planned. Else ``waits`` are the stages that wait.
    """

    from_on: date
    back_on: date
    covered: bool
    waits: tuple[PlaceOf, ...] = ()


@dataclass(frozen=True, slots=True)
class DueOf:
    """An edge as it stands, with what is foretold of it.

    ``chance_dull`` is an early warning, never leave to go on. The days are those by which one in ten, half
    and nine in ten such edges are dull by what is planned; None: later than half a year. ``soon_on`` is when
    one in five is. ``send_by_on`` is when it must leave to be back in time, today where that is too late
    already (``send_late``). ``cuts`` are what it is to cut until it is due. An edge that is not on its tool,
    or was found dull, has no days.
    """

    tool: int
    tool_name: str
    kind: EdgeKind
    stands: EdgeStands
    chance_dull: float
    left_h: LifeRange | None
    life_h: LifeRange
    usual_h: float
    dull_lives: int
    cut_short: int
    soon_on: date | None = None
    p10_on: date | None = None
    p50_on: date | None = None
    p90_on: date | None = None
    send_by_on: date | None = None
    send_late: bool = False
    gap: Gap | None = None
    cuts: tuple[CutAhead, ...] = ()

    @property
    def edge(self) -> int:
        """The edge's number."""
        return self.stands.edge.id

    @property
    def covered_by_spare(self) -> bool:
        """Whether a spare can cut while it is away."""
        return self.gap is not None and self.gap.covered

    @property
    def waits(self) -> tuple[PlaceOf, ...]:
        """The stages that wait while it is away."""
        return self.gap.waits if self.gap is not None else ()


@dataclass(frozen=True, slots=True)
class Dues:
    """All edges by what is due first, for the plan of a ``number`` as it was at ``made_at``.

    ``marks`` are those of the tools (``marks_of``) that it was found for.
    """

    database_id: str
    number: int
    made_at: datetime
    of: tuple[DueOf, ...] = ()
    marks: Mapping[int, int] = field(default_factory=dict)

    def of_tool(self, tool: int) -> tuple[DueOf, ...]:
        """The edges of a tool, the one that is on it first."""
        own = [each for each in self.of if each.tool == tool]
        return tuple(sorted(own, key=lambda each: each.stands.where != "fitted"))


# --- what was found last -------------------------------------------------------------------------------


def keep_dues(store: Store, found: Dues) -> None:
    """Keep what was found last."""
    with _TURN:
        _LAST[store] = found


def dues_shown(store: Store, sight: Sight) -> Dues:
    """What was found last, perhaps a few taps ago, of the tools to whose edges nothing was done since.

    Empty: nothing was found yet.
    """
    found = _LAST.get(store)
    if found is None or found.database_id != sight.head.database_id:
        return Dues(sight.head.database_id, 0, sight.now)
    marks = marks_of(sight)
    return replace(found, of=tuple(e for e in found.of if found.marks.get(e.tool) == marks.get(e.tool)))


def kept_dues(store: Store, sight: Sight, number: int) -> Dues | None:
    """What was found for the very plan of a number on this day; None: nothing yet."""
    found, calendar = _LAST.get(store), sight.world.calendar
    if found is None or (found.database_id, found.number) != (sight.head.database_id, number):
        return None
    return found if local(calendar, found.made_at).date() == local(calendar, sight.now).date() else None


def dues_sign(store: Store) -> int:
    """Another whenever something else was found."""
    found = _LAST.get(store)
    return 0 if found is None else found.number


def marks_of(sight: Sight) -> Mapping[int, int]:
    """Of each tool something that is another once anything was done to its edges, or taken back."""
    found: dict[int, list[Deed]] = {}
    for deed in sight.replayed.deeds:
        found.setdefault(deed.tool, []).append(deed)
    return {tool: hash(tuple(deeds)) for tool, deeds in found.items()}


_TURN = Lock()
_LAST: "WeakKeyDictionary[Store, Dues]" = WeakKeyDictionary()
