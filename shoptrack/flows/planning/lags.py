"""A glue or finish and its room → the minutes from closing until each thing may follow, for a plan."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache

from shoptrack.engine import cure
from shoptrack.engine.marks import opens_at
from shoptrack.engine.shapes import FAR, Calendar, Cure, OffDays, Overtime, Recipe, Role, Room, Week

MOST = timedelta(days=60)
"""What is not reached in so long is taken to be reached then."""

_WANTED = ("clamps off", "recoat", "dust free", "handle")
_DRY: tuple[Role, ...] = ("dust free", "recoat", "handle")
"""The first of these that a finish has is when dust does it no harm any more: what takes another coat, or may
be handled, is dry to the touch (common practice, no source).
"""


@dataclass(frozen=True, slots=True)
class Lags:
    """Minutes from closing: until what follows may start (``gate``), until the next coat may go on
    (``recoat``) and must (``recoat_until``), until clamps may come off, and until dust does no harm.
    """

    gate: int = 0
    recoat: int = 0
    recoat_until: int | None = None
    off: int = 0
    wet: int = 0


NO_LAGS = Lags()


Shop = tuple[str, tuple[Week, ...], tuple[OffDays, ...], tuple[Overtime, ...]]


@lru_cache(maxsize=1024)
def _lags(recipe: Recipe, room: Room, shop: Shop, closed_at: datetime) -> Lags:
    marks = tuple(mark for mark in recipe.marks if mark.gates or mark.role in _WANTED)
    zone, weeks, off_days, overtime = shop
    calendar = Calendar(zone, weeks, {}, off_days, overtime)
    cured = cure.reckon(replace(recipe, marks=marks), room, (), calendar, closed_at)
    gate = gate_of(cured)
    off = _opens(cured, "clamps off")
    recoat = next((m for m in cured.marks if m.mark.role == "recoat" and m.mark.gates), None)
    ends = recoat.until_at if recoat is not None else None
    return Lags(
        gate=_ceil(gate, closed_at),
        recoat=_ceil(recoat.from_at or FAR, closed_at) if recoat is not None else 0,
        recoat_until=None if ends is None else int((ends - closed_at).total_seconds() // 60),
        off=_ceil(gate if off is None else off, closed_at),
        wet=_ceil(dry_at(recipe, cured), closed_at),
    )


def gate_of(cured: Cure) -> datetime | None:
    """When what follows may start; None: nothing keeps it."""
    return cured.gate_at()


def off_at(cured: Cure) -> datetime | None:
    """When clamps may come off; where no mark says it, when what follows may start; None: at once."""
    at = _opens(cured, "clamps off")
    return gate_of(cured) if at is None else at


def dry_at(recipe: Recipe, cured: Cure) -> datetime | None:
    """When dust does a finish no harm any more; None: it never did, as with glue."""
    if recipe.kind != "finish":
        return None
    found = (_opens(cured, role) for role in _DRY)
    return next((at for at in found if at is not None), gate_of(cured))


def _opens(cured: Cure, role: Role) -> datetime | None:
    """When a mark opens, FAR beyond reckoning; None: there is no such mark."""
    has = any(m.mark.role == role and m.mark.from_min is not None for m in cured.marks)
    return (opens_at(cured, role) or FAR) if has else None


def _ceil(at: datetime | None, closed_at: datetime) -> int:
    if at is None:
        return 0
    return max(0, -int((closed_at - min(at, closed_at + MOST)).total_seconds() // 60))


class LagsOf:
    """The lags of every glue and finish in every room, for a closing at one instant."""

    def __init__(self, calendar: Calendar, closed_at: datetime) -> None:
        self._shop = (calendar.zone, calendar.shop, calendar.off, calendar.overtime)
        self._closed_at = closed_at
        self._found: dict[tuple[int, int], Lags] = {}

    def of(self, recipe: Recipe, room: Room) -> Lags:
        """The lags of one in one room, in the usual warmth.

        Method: as if closed at the middle of the next day at work. It stands for all closings to come: one
        just before a cold night waits longer, one in the morning shorter, and a plan is made anew with every
        tap, by real marks once it is closed.
        """
        key = (id(recipe), id(room))
        if key not in self._found:
            self._found[key] = _lags(recipe, room, self._shop, self._closed_at)
        return self._found[key]
