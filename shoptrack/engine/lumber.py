"""Finished parts → the rough boards they are cut from, in board feet and cubic metres."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isfinite

from shoptrack.engine.units import MM_PER_INCH
from shoptrack.errors import BadInput

M3_PER_BOARD_FOOT = float(144 * MM_PER_INCH**3 / 10**9)
"""144 cubic inches: 0.002359737216 m³ exactly, by the inch of 1959."""

# Trade thicknesses of rough hardwood, counted in quarters of an inch; common practice, no source.
QUARTERS = (4, 5, 6, 8, 10, 12, 16)
SOLD_IN_QUARTERS_MM = tuple(float(MM_PER_INCH * quarters / 4) for quarters in QUARTERS)
# Thicknesses of sawn hardwood where it is sold in millimetres; common practice, no source.
SOLD_IN_MM = (26.0, 33.0, 40.0, 52.0, 65.0, 80.0, 100.0)
_SLACK_MM = 1e-6  # a thickness written in sixteenths misses its float by less


@dataclass(frozen=True, slots=True)
class Cut:
    """Parts alike as they are finished."""

    count: int
    thickness_mm: float
    width_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Cutting:
    """How a shop gets from boards to parts.

    ``planing_mm`` comes off a board's thickness before it is flat, ``kerf_mm`` is what saw and jointer take
    beside each strip, ``trim_mm`` what a part is cut longer by; ``waste_bp`` is bought on top for defects, in
    hundredths of a per cent (leave it nought where the quote's own share of waste is added). ``sold_mm`` are
    the thicknesses there are, thin to thick. The numbers are common practice, no source: ¼ in for planing,
    ⅛ in of kerf, 1 in of length.
    """

    planing_mm: float = 6.35
    kerf_mm: float = 3.175
    trim_mm: float = 25.4
    waste_bp: int = 0
    sold_mm: Sequence[float] = SOLD_IN_QUARTERS_MM


@dataclass(frozen=True, slots=True)
class Rough:
    """Boards to buy of one rough thickness."""

    thickness_mm: float
    m3: float

    @property
    def board_feet(self) -> float:
        """Its volume in board feet."""
        return self.m3 / M3_PER_BOARD_FOOT

    @property
    def m2(self) -> float:
        """The face of the boards, as panels and flooring are sold."""
        return self.m3 / (self.thickness_mm / 1000)


def board_feet(thickness_mm: float, width_mm: float, length_mm: float) -> float:
    """Thickness × width × length in inches / 144.

    Source: the measure's definition in the hardwood trade; 1 in × 3 in × 8 ft is 2 of them.
    """
    return thickness_mm * width_mm * length_mm / 1e9 / M3_PER_BOARD_FOOT


def quarters(thickness_mm: float) -> str:
    """The trade's name of a rough thickness: 25.4 mm is 4/4; any other is the nearest quarter's."""
    return f"{round(thickness_mm / float(MM_PER_INCH) * 4)}/4"


def rough_mm(finished_mm: float, cutting: Cutting) -> float:
    """The thinnest rough board that gives a finished thickness.

    Raises BadInput where none that is sold does: such a part is glued up from thinner ones.
    """
    needed = finished_mm + cutting.planing_mm - _SLACK_MM
    found = next((mm for mm in cutting.sold_mm if mm >= needed), None)
    if found is None:
        raise BadInput("No board is sold that thick: glue it up from thinner parts.", "thickness")
    return found


def to_buy(cuts: Iterable[Cut], cutting: Cutting) -> tuple[Rough, ...]:
    """The boards that parts take, one line a rough thickness, thin to thick.

    Empty: none. Raises BadInput for a size of nought or less, or a part that no board is thick enough for.
    Method: count · rough thickness · (width + kerf) · (length + trim), and the share of waste on top.
    """
    volumes_m3: dict[float, float] = defaultdict(float)
    for cut in cuts:
        _check(cut)
        thickness_mm = rough_mm(cut.thickness_mm, cutting)
        face_mm2 = (cut.width_mm + cutting.kerf_mm) * (cut.length_mm + cutting.trim_mm)
        volumes_m3[thickness_mm] += cut.count * thickness_mm * face_mm2 / 1e9
    more = float(1 + Fraction(cutting.waste_bp, 10_000))
    return tuple(Rough(mm, volumes_m3[mm] * more) for mm in sorted(volumes_m3))


def _check(cut: Cut) -> None:
    sizes = (cut.thickness_mm, cut.width_mm, cut.length_mm)
    if cut.count < 0 or not all(size > 0 and isfinite(size) for size in sizes):
        raise BadInput("A part has a thickness, a width and a length above nought.", "size")
