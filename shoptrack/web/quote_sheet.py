"""A kept quote to its drawings: hours and cost as dimension lines, price as a datum, stages on a stick."""

from collections.abc import Iterator
from dataclasses import dataclass

from shoptrack.engine.shapes.quoted import Judged, Range
from shoptrack.flows.quoting.kept import Kept, KeptWork
from shoptrack.web.quote_drawing import (
    CloseLine,
    MoneyLine,
    RangeLine,
    StickPart,
    close_line,
    money_line,
    range_line,
    stick_parts,
)


@dataclass(frozen=True, slots=True)
class StageDrawn:
    """A stage with the lines of its hands and its machine on one scale for all; None where it has none."""

    number: int
    work: KeptWork
    hands: RangeLine | None
    machine: RangeLine | None


@dataclass(frozen=True, slots=True)
class Leaves:
    """What a price leaves if cost comes out at one of its shares: called, cost, what is left, as a share."""

    called: str
    cost_cents: int
    left_cents: int
    margin: float | None


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawings of one revision, and what its price leaves."""

    hours: CloseLine
    money: MoneyLine
    stick: tuple[StickPart, ...]
    stages: tuple[StageDrawn, ...]
    leaves: tuple[Leaves, ...]


def drawn_of(kept: Kept, judged: Judged | None = None) -> Drawn:
    """The drawings of a quote, at its own price or at another that was ``judged``."""
    price = judged or kept.judged
    worked = kept.worked
    return Drawn(
        hours=close_line(worked.hands_min),
        money=money_line(worked.cents, price.price_cents),
        stick=stick_parts(
            [(w.stage.name, _middle(w), w.stage.untested, w.stage.rest) for w in kept.reckoned]
        ),
        stages=tuple(_stages(kept)),
        leaves=leaves_of(worked.cents, price),
    )


def leaves_of(cost: Range, judged: Judged) -> tuple[Leaves, ...]:
    """What a price leaves if the order costs what one in ten, half and nine in ten stay under."""
    found = (
        ("1 in 10 cost less", cost.p10, judged.margin_p10),
        ("half cost less", cost.p50, judged.margin_p50),
        ("9 in 10 cost less", cost.p90, judged.margin_p90),
    )
    return tuple(
        Leaves(called, round(cents), judged.price_cents - round(cents), margin)
        for called, cents, margin in found
    )


def _middle(work: KeptWork) -> float:
    """How long a stage is drawn: hands, or a machine that runs longer."""
    return 0.0 if work.worked is None else max(work.worked.hands_min.p50, work.worked.machine_min.p50)


def _stages(kept: Kept) -> Iterator[StageDrawn]:
    found = [w.worked for w in kept.reckoned if w.worked is not None]
    most = max((max(w.hands_min.p90, w.machine_min.p90) for w in found), default=0.0)
    for number, work in enumerate(kept.reckoned, 1):
        hands, machine = (
            (None, None) if work.worked is None else (work.worked.hands_min, work.worked.machine_min)
        )
        yield StageDrawn(number, work, _line(hands, most), _line(machine, most))


def _line(found: Range | None, most: float) -> RangeLine | None:
    return range_line(found, most) if found is not None and found.p90 > 0 else None
