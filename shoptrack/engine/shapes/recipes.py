"""Glues, finishes, rooms and what replay reckons of their warmth."""

from dataclasses import dataclass
from datetime import datetime, time
from typing import Literal

from shoptrack.engine.shapes.dated import FAR, Dated

Joint = Literal["plain edge", "wide face", "bent or sprung"]
Below = Literal["slows", "spoils"]
Role = Literal[
    "clamps off", "scrape", "work", "full strength", "recoat", "wipe", "dust free", "handle", "food contact"
]


@dataclass(frozen=True, slots=True)
class Mark:
    """A named moment after closing, in minutes at the recipe's reference temperature.

    ``from_min`` opens it, ``until_min`` ends it; either may be None, not both. ``gates``: the next
    round or stage may not start before ``from_min``. ``q10`` overrides the recipe's own factor, and
    ``points`` (°C, minutes to ``from_min``, else to ``until_min``) override both.
    """

    role: Role
    name: str
    from_min: float | None = None
    until_min: float | None = None
    needs_hands: bool = False
    gates: bool = False
    q10: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Recipe:
    """A glue or finish: its marks for one kind of joint and how warmth changes them.

    Below ``lowest_c`` a joint either ``slows`` (the age stands still) or ``spoils`` when that happens
    before its clamps-off mark. ``open_min`` is the open time at the reference temperature.
    """

    id: int
    name: str
    kind: Literal["glue", "finish"]
    marks: tuple[Mark, ...]
    reference_c: float = 20.0
    q10: float = 2.0
    lowest_c: float | None = None
    below: Below = "slows"
    open_min: float | None = None
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A temperature that somebody read in a room."""

    room: int
    at: datetime
    c: float


@dataclass(frozen=True, slots=True)
class RoomProfile:
    """A room's usual warmth by month (January first): °C while heated, °C while not.

    Heated from ``heated_from`` to ``heated_until`` local time on the shop's working days.
    """

    heated_c: tuple[float, ...]
    unheated_c: tuple[float, ...]
    heated_from: time
    heated_until: time


@dataclass(frozen=True, slots=True)
class Room:
    """A room with its usual warmth, by date."""

    id: int
    name: str
    profiles: Dated[RoomProfile]


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperature of a room at an instant and where the number comes from."""

    c: float
    by: Literal["read", "between readings", "usual", "usual, shifted"]


@dataclass(frozen=True, slots=True)
class MarkTime:
    """When a mark opens and ends; None where it does not within the horizon, or has no such end.

    ``slowed``: its age stood still for a while. ``by`` says whether readings reach up to it.
    """

    mark: Mark
    from_at: datetime | None
    until_at: datetime | None
    by: Literal["read", "usual"]
    slowed: bool = False


@dataclass(frozen=True, slots=True)
class Cure:
    """The marks of one round by the warmth the wood was at.

    ``doubtful_at``: when the glue is first under its lowest temperature before its clamps-off mark and spoils
    there, by what was read or, after the last reading, by what is usual; None: it never is.
    ``coldest_c`` is the coldest the wood was until the clamps-off mark (else the last mark reckoned).
    """

    marks: tuple[MarkTime, ...]
    doubtful_at: datetime | None
    coldest_c: float
    by: Literal["read", "usual"]

    @property
    def doubtful(self) -> bool:
        """Whether it was or will be too cold before the clamps may come off."""
        return self.doubtful_at is not None

    def gate_at(self) -> datetime | None:
        """The last instant at which a gating mark opens: the next step may not start before it.

        None when no mark gates. datetime.max (UTC) when a gating mark is beyond the horizon.
        """
        gates = [m.from_at for m in self.marks if m.mark.gates]
        if not gates:
            return None
        return max((g for g in gates if g is not None), default=FAR) if None not in gates else FAR
