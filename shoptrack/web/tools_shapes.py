"""The shapes of the document of the tools for programs; the API document is made from them."""

from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.shapes.edges import Renewed, Where


@dataclass(frozen=True, slots=True)
class HoursDoc:
    """The effective hours that one in ten, half and nine in ten stay under."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class CutDoc:
    """A stage that an edge is to cut by the plan: the day it begins, and effective hours."""

    stage: int
    job: int
    tag: str
    name: str
    on: date
    effective_h: float


@dataclass(frozen=True, slots=True)
class EdgeDoc:
    """An edge: where it is, what it has run since it was sharp, and what is foretold of it.

    Hours are run hours; effective ones count the wood, 1 being the shop's usual. ``chance_dull`` is an early
    warning only: a dull edge comes out of service at once, whatever a date says. ``left_h``: how much longer
    it lasts; null where it is dull. The days are those by which one in ten, half and nine in ten such edges
    are dull by the plan; null: later than half a year, or nothing is planned for it. ``send_by`` is when it
    must leave to be back in time, ``waits`` are the stages that wait from ``away_from`` to ``away_until``
    then, with no spare.
    """

    id: int
    name: str
    where: Where
    since: datetime | None
    run_h: float
    effective_h: float
    dull: bool
    rough_only: bool
    sharpened: int
    back_on: date | None
    chance_dull: float
    left_h: HoursDoc | None
    soon_on: date | None
    one_in_ten_by: date | None
    half_by: date | None
    nine_in_ten_by: date | None
    send_by: date | None
    send_late: bool
    away_from: date | None
    away_until: date | None
    spare_covers: bool
    waits: tuple[int, ...]
    cuts: tuple[CutDoc, ...]


@dataclass(frozen=True, slots=True)
class ToolDoc:
    """A tool with its edges, the one on it by its number (null: none is).

    ``usual_life_h`` is what the shop says of its kind, ``starting`` where nobody in the shop did; ``life_h``
    what was learned, from ``found_dull`` lives and ``cut_short`` ones; null without an edge.
    """

    id: int
    name: str
    kind: str
    station: str
    renewed: Renewed
    away_days: int
    usual_life_h: float
    starting: bool
    life_h: HoursDoc | None
    found_dull: int
    cut_short: int
    fitted: int | None
    edges: tuple[EdgeDoc, ...]


@dataclass(frozen=True, slots=True)
class ToolsDoc:
    """The tools in use, by the plan of this ``number``; without money."""

    database_id: str
    revision: int
    now: datetime
    number: int
    tools: tuple[ToolDoc, ...]
