"""Foretold stages, rates, what is bought and terms → what an order costs as a range, and its price."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from shoptrack.engine.cents import rounded
from shoptrack.engine.prices import margin_left, markup_left, price_at_margin
from shoptrack.engine.shapes.learned import Floats
from shoptrack.engine.shapes.quoted import SHARES, Asked, Judged, Range, StageAsked, StageWorked, Worked
from shoptrack.engine.totals import Part, draw_min, range_of_draws
from shoptrack.errors import BadInput

DRAWS = 4_000
MOST_CENTS = 10**15
"""The most that is reckoned: beyond nine times that a float no longer holds a single cent."""

_STEPS = 200  # cost is kept at each half per cent between nought and all
_AT = np.arange(1, _STEPS) / _STEPS
_MOST_MIN = 1e12


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """A stage with its drawn minutes, those that are done again among them."""

    stage: StageAsked
    hands_min: Floats
    machine_min: Floats

    @property
    def cents(self) -> Floats:
        hands = self.hands_min * self.stage.hands_cents_per_h
        return (hands + self.machine_min * self.stage.machine_cents_per_h) / 60.0

    @property
    def wear_cents(self) -> Floats:
        cutting = self.hands_min if self.stage.machine is None else self.machine_min
        return cutting * (self.stage.wear_cents_per_h / 60.0)


def price(asked: Asked, rng: np.random.Generator, draws: int = DRAWS) -> Worked:
    """What an order takes, costs and is priced at.

    Takes a generator: from the same input and seed come the same cents. Gives ranges of minutes (with what
    is done again) and of cost in whole cents; prices at the middle and at eight in ten, without tax. Stages
    and what is bought may both be empty. Raises BadInput where it comes to more than 10¹⁵ cents or the margin
    is all of the price. Method: the hands and the machine of all stages are drawn together, run long together
    by ``likeness``, and are summed draw by draw at their rates, as is what their edges lose meanwhile; what
    is bought is added exactly; price = cost / (1 − margin). Everything is rounded once.

    Noise of 4,000 draws: another seed moves the price at the middle by 1.2·s %, at eight in ten by 1.6·s %
    (one standard error over 60 seeds, 1 to 20 stages), s being the spread of ln(cost): a quarter and a third
    of a per cent where s is .2. The seed is kept with the quote; a stage added at the end leaves the draws
    of those before it as they were.
    """
    drawn = _draw(asked, rng, draws)
    none = np.zeros(draws)
    bought = sum((b.cents for b in asked.bought), Fraction(0))
    wear: Floats = sum((d.wear_cents for d in drawn), none)
    costs = _exact(sum((d.cents for d in drawn), none) + wear, bought)
    at = [costs[round(share * _STEPS) - 1] for share in SHARES]
    prices = [max(price_at_margin(cost, asked.margin_bp), asked.least_cents) for cost in (at[1], at[2])]
    if prices[1] > MOST_CENTS or costs[-1] > MOST_CENTS:
        raise BadInput("That comes to more money than can be reckoned: look at the measures and prices.")
    return Worked(
        stages=tuple(_stage(d) for d in drawn),
        hands_min=range_of_draws(sum((d.hands_min for d in drawn), none)),
        machine_min=range_of_draws(sum((d.machine_min for d in drawn), none)),
        cents=Range(*(float(rounded(cost)) for cost in at)),
        bought_cents=rounded(bought),
        price_p50_cents=prices[0],
        price_p80_cents=prices[1],
        cost_cents=tuple(rounded(cost) for cost in costs),
        wear_cents=_cents(wear),
    )


def judge(worked: Worked, price_cents: int) -> Judged:
    """What a price leaves, from the kept costs alone: nothing is drawn again.

    The chance of a loss is interpolated between each half per cent; a price under the lowest kept cost loses
    for certain, one from the highest on never does.
    """
    p10, p50, p90 = (worked.cost_cents[round(share * _STEPS) - 1] for share in (0.1, 0.5, 0.9))
    return Judged(
        price_cents=price_cents,
        margin_p10=margin_left(price_cents, p10),
        margin_p50=margin_left(price_cents, p50),
        margin_p90=margin_left(price_cents, p90),
        markup_p50=markup_left(price_cents, p50),
        loss_chance=_loss_chance(worked.cost_cents, price_cents),
    )


def _draw(asked: Asked, rng: np.random.Generator, draws: int) -> list[_Drawn]:
    foretold = [f for stage in asked.stages for f in (stage.hands, stage.machine) if f is not None]
    with np.errstate(over="ignore"):  # what is out of all bounds is refused right below
        minutes = draw_min([Part(f) for f in foretold], asked.likeness, rng, draws)
    if not np.all(minutes < _MOST_MIN):
        raise BadInput("That comes to more work than can be reckoned: look at the measures.")
    columns, none = iter(minutes.T), np.zeros(draws)
    return [
        _Drawn(
            stage,
            none if stage.hands is None else next(columns) * (1.0 + stage.again_share),
            none if stage.machine is None else next(columns) * (1.0 + stage.again_share),
        )
        for stage in asked.stages
    ]


def _exact(drawn: Floats, fixed: Fraction) -> list[Fraction]:
    """The cost at each half per cent, not rounded."""
    return [Fraction(float(cents)) + fixed for cents in np.quantile(drawn, _AT)]


def _stage(drawn: _Drawn) -> StageWorked:
    return StageWorked(
        name=drawn.stage.name,
        hands_min=range_of_draws(drawn.hands_min),
        machine_min=range_of_draws(drawn.machine_min),
        cents=_cents(drawn.cents),
    )


def _cents(drawn: Floats) -> Range:
    """A range of drawn cents, each rounded."""
    return Range(*(float(rounded(Fraction(float(c)))) for c in np.quantile(drawn, SHARES)))


def _loss_chance(costs: Sequence[int], price_cents: int) -> float:
    """The chance that cost is more than a price."""
    n = bisect_right(costs, price_cents)
    if n == 0:
        return 1.0
    if n == len(costs):
        return 0.0
    between = (price_cents - costs[n - 1]) / (costs[n] - costs[n - 1])
    return 1.0 - (n + between) / _STEPS
