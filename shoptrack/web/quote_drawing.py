"""Ranges, prices and stages of a quote to the lines of a drawing: dimension lines, a datum, a stick."""

from collections.abc import Sequence
from dataclasses import dataclass

from shoptrack.engine.shapes.quoted import Range
from shoptrack.web.stick import Cut, Segment, story_stick

Scale = tuple[float, float]

EDGE = 97.0  # the drawing ends a little past its longest line, so that the last tick is whole
NEAR = 0.1  # a scale that would begin nearer to nought than this share of its end begins there
# a label whose tick is further across is written to the left of it: half's above the line, 8 in 10's below
ROOM = 17.0  # so much of a wide sheet is taken by a label as long as "9 in 10 under 12,345.67 USD"
LEFT_FROM = {"p10": 99.0, "p50": 50.0, "p80": 45.0, "p90": 50.0, "price": 45.0}


@dataclass(frozen=True, slots=True)
class Mark:
    """A tick at ``x`` percent with the amount it stands for; ``left``: its words end there."""

    x: float
    amount: float
    left: bool


@dataclass(frozen=True, slots=True)
class RangeLine:
    """A range as a dimension line on a scale from nought: one in ten to nine in ten, half and 8 in 10."""

    p10: Mark
    p50: Mark
    p80: Mark
    p90: Mark

    @property
    def ends_fit(self) -> bool:
        """Whether there is room to write the ends too beside half and 8 in 10, on a wide sheet."""
        return _apart(self.p10, self.p80) and _apart(self.p50, self.p90)


@dataclass(frozen=True, slots=True)
class CloseLine:
    """A range drawn large: ``broken`` where its scale does not begin at nought but is cut short."""

    range: RangeLine
    broken: bool


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """What it costs as a range with the price as a datum; ``loss_x``: from where on cost passes the price."""

    cost: RangeLine
    price: Mark
    loss_x: float | None
    broken: bool


@dataclass(frozen=True, slots=True)
class StickPart:
    """A stage on the stick of a quote, with its number; ``untested``: nothing of its pattern was logged."""

    number: int
    name: str
    segment: Segment
    untested: bool
    rest: bool


def range_line(found: Range, most: float = 0.0) -> RangeLine:
    """The line of a range on a scale from nought that holds ``most`` too."""
    return _range(found, (0.0, max(found.p90, most, 1e-9)))


def close_line(found: Range) -> CloseLine:
    """The line of a range on a scale of its own, as large as the sheet lets it be."""
    scale = _close(found.p10, found.p90)
    return CloseLine(_range(found, scale), scale[0] > 0)


def money_line(cost: Range, price_cents: int) -> MoneyLine:
    """Cost and price on one scale, drawn as large as the sheet lets it be."""
    low, high = min(cost.p10, float(price_cents)), max(cost.p90, float(price_cents))
    scale = _close(low, high)
    price = _mark(float(price_cents), scale, "price")
    loss_x = max(price.x, _x(cost.p10, scale)) if price_cents < cost.p90 else None
    return MoneyLine(_range(cost, scale), price, loss_x, scale[0] > 0)


def stick_parts(stages: Sequence[tuple[str, float, bool, bool]]) -> tuple[StickPart, ...]:
    """Stages one after another, each with its name, minutes, and whether it is untested or a rest."""
    cuts = [
        Cut(n, minutes, (n - 1,) if n > 1 else (), rest) for n, (_, minutes, _, rest) in enumerate(stages, 1)
    ]
    stick = story_stick(cuts)
    return tuple(
        StickPart(n, name, stick.of(n), untested, rest)
        for n, (name, _, untested, rest) in enumerate(stages, 1)
    )


def _close(low: float, high: float) -> Scale:
    """A scale on which ``low`` to ``high`` takes two thirds of the sheet; from nought where that is near."""
    start = low - max(high - low, high * NEAR) / 2
    return (start if start > high * NEAR else 0.0, max(high, 1e-9))


def _range(found: Range, scale: Scale) -> RangeLine:
    return RangeLine(*(_mark(getattr(found, name), scale, name) for name in ("p10", "p50", "p80", "p90")))


def _mark(amount: float, scale: Scale, name: str) -> Mark:
    x = _x(amount, scale)
    return Mark(x, amount, x > LEFT_FROM[name])


def _apart(first: Mark, then: Mark) -> bool:
    """Whether the labels of two ticks on one side of the line leave each other room."""
    begins = then.x - ROOM if then.left else then.x
    ends = first.x if first.left else first.x + ROOM
    return begins >= ends


def _x(amount: float, scale: Scale) -> float:
    low, high = scale
    return round(min(max((amount - low) / (high - low), 0.0), 1.0) * EDGE, 2)
