"""Logs and the next measures → equally likely minutes, by our method and by simpler ones."""

from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt
from statistics import NormalDist

import numpy as np

from shoptrack.engine import durations, student
from shoptrack.engine.durations import USUAL, Beliefs
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Fit, Floats, Log
from tests.bench.scores import LEVELS
from tests.bench.worlds import Kind, Shop

SD_AT_FIRST = 0.5
"""The sd of the simple methods as a share of the mean, while fewer than two logs give one."""
_Z = np.array([NormalDist().inv_cdf(level) for level in LEVELS])
_HARDLY = 0.01
METHODS = ("plain mean", "scaled mean", "quantiles")


def ours(fit: Fit, next_ones: Sequence[tuple[float, int | None, int]]) -> Floats:
    """What our method says of stages with a measure, a pattern and orders before: (stages, members)."""
    foretold = [durations.predict(fit, *one) for one in next_ones]
    t = [student.quantile_of_z(_Z, said.df) for said in foretold]
    return np.exp([said.loc + said.scale * x for said, x in zip(foretold, t, strict=True)])


def simple(logs: Sequence[Log], rule: Rule, quantities: Floats) -> dict[str, Floats]:
    """What the simple methods say; without logs, the rule of thumb."""
    said = np.array([rule.minutes(one.quantity) for one in logs])
    minutes = np.array([one.minutes for one in logs])
    next_said = rule.setup_min + rule.rate_min * quantities
    ratios = minutes / said
    whole = _normal(minutes, 1.0)[None, :] if len(logs) else next_said[:, None] * _normal(ratios, 1.0)
    seen = np.quantile(ratios, LEVELS) if len(logs) else np.ones(len(LEVELS))
    return {
        "plain mean": np.broadcast_to(whole, (len(quantities), len(LEVELS))),
        "scaled mean": next_said[:, None] * _normal(ratios, 1.0),
        "quantiles": next_said[:, None] * seen,
    }


def _normal(values: Floats, without: float) -> Floats:
    """Quantiles of mean ± sd, none below nought."""
    mean = float(values.mean()) if len(values) else without
    sd = float(values.std(ddof=1)) if len(values) > 1 else SD_AT_FIRST * mean
    return np.maximum(mean + sd * _Z, 0.0)


def told(shop: Shop, kind: Kind) -> Beliefs:
    """Our method's beliefs if it were told how far this shop's times differ, though not what any of them is.

    What it loses to the oracle nobody can win who has to learn the kinds and patterns from their logs.
    """
    world = shop.world
    slow, fast = world.learning
    return replace(
        USUAL,
        noise=kind.noise,
        a=60.0,
        shift_sd=log(world.wrong) / sqrt(3.0),
        power_sd=USUAL.power_sd if world.power or world.apart else _HARDLY,
        repeat_mean=-(slow + fast) / 2.0,
        repeat_sd=max((fast - slow) / sqrt(12.0), _HARDLY),
        pattern_sd=shop.pattern_sd,
    )
