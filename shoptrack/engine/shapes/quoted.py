"""What a quote is reckoned from, and what comes out of it."""

from dataclasses import dataclass
from fractions import Fraction

from shoptrack.engine.shapes.learned import Prediction

SHARES = (0.1, 0.5, 0.8, 0.9)
"""The shares that a range is told at."""


@dataclass(frozen=True, slots=True)
class Range:
    """What one in ten, half, eight and nine in ten stay under."""

    p10: float
    p50: float
    p80: float
    p90: float


NOTHING = Range(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class StageAsked:
    """A stage as it is quoted: what was foretold of its hands and machine, and what an hour of each costs.

    None: it needs none. ``again_share`` is the learned share of its minutes that is done again for spoiled
    pieces. ``wear_cents_per_h`` is what its edges lose in an hour of its machine, of hands where it has none.
    """

    name: str
    hands: Prediction | None
    machine: Prediction | None = None
    hands_cents_per_h: int = 0
    machine_cents_per_h: int = 0
    again_share: float = 0.0
    wear_cents_per_h: float = 0.0


@dataclass(frozen=True, slots=True)
class Bought:
    """What is bought for it: a quantity at a price, with what is wasted of it bought on top."""

    words: str
    kind: str
    quantity: float
    cents_each: int
    waste_bp: int = 0

    @property
    def cents(self) -> Fraction:
        """What it costs, exact for the quantity as it is written: 2.345 is not the float next to it."""
        return Fraction(str(self.quantity)) * self.cents_each * Fraction(10_000 + self.waste_bp, 10_000)


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a quote is reckoned from. Shares in hundredths of a per cent; money in the smallest unit.

    A tax may be said a decimal finer: 887.5 is 8.875 %.
    ``likeness`` is how far the stages of a job run long together.
    """

    stages: tuple[StageAsked, ...]
    bought: tuple[Bought, ...] = ()
    likeness: float = 0.3
    margin_bp: int = 0
    least_cents: int = 0
    tax_bp: float = 0
    deposit_bp: int = 0


@dataclass(frozen=True, slots=True)
class StageWorked:
    """What came out for one stage: minutes of hands and of the machine, and what they cost in cents."""

    name: str
    hands_min: Range
    machine_min: Range
    cents: Range


@dataclass(frozen=True, slots=True)
class Worked:
    """What came out: ranges of minutes and of cost, the price at the middle and at eight in ten.

    ``cost_cents`` has the cost that each half per cent of the draws stays under, from 0.5 to 99.5 %: from it
    any price is judged later without drawing again. Prices are without tax and at least the least charge.
    ``wear_cents`` is what the edges of all stages lose, which is in the cost and in no stage's own.
    """

    stages: tuple[StageWorked, ...]
    hands_min: Range
    machine_min: Range
    cents: Range
    bought_cents: int
    price_p50_cents: int
    price_p80_cents: int
    cost_cents: tuple[int, ...]
    wear_cents: Range = NOTHING


@dataclass(frozen=True, slots=True)
class Judged:
    """What a price leaves: its margin (share of the price) if cost comes out at P10, P50 and P90, the markup
    on cost at P50, and the chance that it costs more than the price.

    None: of a price of nought there is no margin, on a cost of nought no markup.
    """

    price_cents: int
    margin_p10: float | None
    margin_p50: float | None
    margin_p90: float | None
    markup_p50: float | None
    loss_chance: float
