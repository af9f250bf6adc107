"""The usual rooms, stations, clamps and kinds of stage of a small shop, with plain sizes to begin with."""

from dataclasses import dataclass
from typing import Literal

from shoptrack.engine.shapes import Attendance, Interruption, Rule

INCH_MM = 25.4
LengthUnit = Literal["in", "mm"]

# Every size, count and rule of thumb here is common practice, no source: a figure to put one's own over.


@dataclass(frozen=True, slots=True)
class StartingRoom:
    """A room with its usual warmth while people work and at night."""

    name: str
    heated_c: float
    unheated_c: float
    usual: bool = False


@dataclass(frozen=True, slots=True)
class StartingStation:
    """A machine or place with those limits that it has, in whole inches and in round millimetres."""

    name: str
    limits: tuple[tuple[str, float, float], ...] = ()
    dust: bool = False
    usual: bool = False

    def limits_mm(self, unit: LengthUnit) -> dict[str, float]:
        """Its limits by column, as a shop of that unit would round them."""
        return {name: inches * INCH_MM if unit == "in" else mm for name, inches, mm in self.limits}


@dataclass(frozen=True, slots=True)
class StartingKind:
    """A kind of stage with its measure, rule of thumb and demands, and how much of it a first piece takes.

    ``once``: counted for the whole job, not for each piece. ``takes``: needs a glue or a finish.
    ``at``: the stations it is done at, the likeliest first.
    """

    name: str
    unit: str
    rule: Rule
    amount: float
    once: bool = False
    attendance: Attendance = "hands-on"
    interruption: Interruption = "any"
    dusty: bool = False
    caution: str = ""
    takes: Literal["", "glue", "finish"] = ""
    at: tuple[str, ...] = ()
    metric: tuple[str, Rule, float] | None = None

    def in_unit(self, unit: LengthUnit) -> tuple[str, Rule, float]:
        """Its measure, rule of thumb and amount for a shop that works in inches, or in millimetres."""
        return self.metric if unit == "mm" and self.metric else (self.unit, self.rule, self.amount)


WIDEST, SHORTEST, BED_LONG, BED_WIDE = (
    "greatest_width_mm",
    "least_length_mm",
    "bed_length_mm",
    "bed_width_mm",
)

# 20 °C and 15 °C are 68 °F and 59 °F: whole in both, for the rooms of glue and finish; machines stand cooler
ROOMS = (
    StartingRoom("workshop", 20.0, 15.0, usual=True),
    StartingRoom("machine room", 15.0, 10.0),
    StartingRoom("finish room", 20.0, 15.0),
)

STATIONS = (
    StartingStation("table saw", ((WIDEST, 30, 760),), dust=True, usual=True),
    StartingStation("jointer", ((WIDEST, 8, 200), (SHORTEST, 12, 300)), dust=True, usual=True),
    StartingStation("planer", ((WIDEST, 15, 380), (SHORTEST, 12, 300)), dust=True, usual=True),
    StartingStation("band saw", ((WIDEST, 14, 350),), dust=True, usual=True),
    StartingStation("drum sander", ((WIDEST, 18, 450), (SHORTEST, 4, 100)), dust=True),
    StartingStation("CNC router", ((BED_LONG, 48, 1200), (BED_WIDE, 32, 800)), dust=True),
    StartingStation("lathe", ((BED_LONG, 36, 900), (WIDEST, 16, 400)), dust=True),
    StartingStation("long bench", ((BED_LONG, 84, 2100), (BED_WIDE, 26, 650)), usual=True),
    StartingStation("spray place", ()),
)

REACHES = ((6, 150, 4), (12, 300, 8), (24, 600, 8), (36, 900, 6), (48, 1200, 4))
"""Reaches of clamps in whole inches and round millimetres, with a count to begin with."""

SAW = "Dust: collector on. A blade that burns or binds comes off now, not later."
KNIVES = "Knives sharp and tight before the cut; dust collector on."
EARSHOT = "The router runs only while somebody is within earshot. Fine dust can explode: empty the bin."
FINE = "Fine dust: mask on, collector on."

KINDS = (
    StartingKind("drawing and programs", "drawings", Rule(15, 60), 1, once=True),
    StartingKind(
        "rough milling", "board feet", Rule(15, 2), 3, dusty=True, caution=SAW,
        at=("table saw", "band saw"), metric=("boards", Rule(15, 6), 3),
    ),
    StartingKind("rest", "days", Rule(0, 24 * 60), 3, once=True, attendance="none"),
    StartingKind(
        "milling", "square feet", Rule(20, 5), 2, dusty=True, caution=KNIVES,
        at=("planer", "jointer"), metric=("boards", Rule(20, 8), 3),
    ),
    StartingKind("glue-up", "joints", Rule(15, 8), 3, interruption="none", takes="glue", at=("long bench",)),
    StartingKind(
        "flattening", "square feet", Rule(15, 5), 2, dusty=True, caution=FINE,
        at=("drum sander",), metric=("pieces", Rule(15, 12), 1),
    ),
    StartingKind(
        "carving", "cutting minutes", Rule(15, 1), 20, attendance="within earshot", dusty=True,
        caution=EARSHOT, at=("CNC router",),
    ),
    StartingKind("test cut", "cuts", Rule(10, 15), 1, once=True, dusty=True, at=("CNC router",)),
    StartingKind("inlay", "inlays", Rule(15, 10), 1, interruption="none", takes="glue"),
    StartingKind(
        "sanding", "square feet", Rule(10, 6), 4, dusty=True, caution=FINE,
        metric=("pieces", Rule(10, 25), 1),
    ),
    StartingKind(
        "finishing", "coats", Rule(10, 15), 3, once=True, interruption="none", takes="finish",
    ),
    StartingKind("fitting", "pieces", Rule(15, 20), 1),
    StartingKind("packing", "pieces", Rule(10, 10), 1),
)  # fmt: skip

FIRST_PATTERN = (
    "rough milling", "rest", "milling", "glue-up", "flattening", "sanding", "finishing", "packing",
)  # fmt: skip
"""The stages of a board that is glued up of a few pieces, in their order."""
