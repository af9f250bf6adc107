"""Orders for the tests of quotes: one to reckon by hand."""

from math import log

import numpy as np

from shoptrack.engine.quote import price
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import Asked, Bought, Range, StageAsked, Worked

WALNUT = Bought("black walnut 4/4", "material", 14.5, 1_150, 2_000)
NONE = Range(0.0, 0.0, 0.0, 0.0)


def told(minutes: float, df: float = 9.0, scale: float = 0.34) -> Prediction:
    return Prediction(df, log(minutes), scale)


def stage(
    minutes: float, rate: int = 6_242, again: float = 0.0, machine: float = 0.0, wear: float = 0.0
) -> StageAsked:
    watched = told(machine) if machine else None
    return StageAsked(f"{minutes} min", told(minutes), watched, rate, 1_500, again, wear)


BOX = Asked(
    stages=(stage(45), stage(120, again=0.05), stage(60, machine=40, wear=87.5), stage(90)),
    bought=(WALNUT,),
    margin_bp=2_500,
)


def worked(asked: Asked, seed: int = 1, draws: int = 400) -> Worked:
    return price(asked, np.random.default_rng(seed), draws)


def values(found: Range) -> tuple[float, ...]:
    return (found.p10, found.p50, found.p80, found.p90)
