"""The size of finished parts → a line of rough boards to buy, in the measure that the shop buys wood by."""

from dataclasses import dataclass
from math import ceil

from shoptrack.engine.lumber import SOLD_IN_MM, Cut, Cutting, quarters, to_buy

# In a shop of millimetres a round saw and a finger's width do as ⅛ in and 1 in do elsewhere; common practice.
METRIC = Cutting(planing_mm=5.0, kerf_mm=3.0, trim_mm=25.0, sold_mm=SOLD_IN_MM)
INCHES = Cutting()


@dataclass(frozen=True, slots=True)
class Boards:
    """Boards to buy: ``called`` is the rough thickness as the trade names it, without waste on top."""

    called: str
    quantity: float
    unit: str


def boards_for(count: int, thickness_mm: float, width_mm: float, length_mm: float, metric: bool) -> Boards:
    """The rough boards that finished parts alike are cut from: board feet of 5/4, or m³ of 33 mm.

    Rounded up to a hundredth of a board foot, or to a tenth of a litre. Raises BadInput for a size of nought
    or a part that no board is thick enough for.
    """
    cut = Cut(count, thickness_mm, width_mm, length_mm)
    (rough,) = to_buy([cut], METRIC if metric else INCHES)
    if metric:
        return Boards(f"{rough.thickness_mm:.0f} mm rough", _up(rough.m3, 10_000), "m³")
    return Boards(f"{quarters(rough.thickness_mm)} rough", _up(rough.board_feet, 100), "board feet")


def _up(amount: float, parts: int) -> float:
    """An amount in whole parts of one, not less than it is."""
    return ceil(amount * parts - 1e-9) / parts
