"""A seed → invented edges that go dull in ways the method is not told, and what a shop writes of them."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from shoptrack.engine.edge_life import Life
from shoptrack.engine.shapes.learned import Floats

OFF = 2.0
"""The usual life is off by up to this factor, either way."""
EARLY, MISHAP = 0.35, 0.08
"""Shares of lives that are cut short: sharpened early, and broken, chipped or hit a nail."""

Lasts = Callable[[np.random.Generator, int], Floats]


@dataclass(frozen=True, slots=True)
class Invented:
    """An edge: its usual life as the shop has it, its lives as they were written down, and what comes next.

    ``coming_h`` are lives any of which may be the next one, seen to their end, as they'd be written down.
    """

    usual_h: float
    lives: list[Life]
    coming_h: Floats


@dataclass(frozen=True, slots=True)
class Truth:
    """A way in which edges go dull: the lives of one edge in units of their median, and how they are seen."""

    name: str
    edge: Callable[[np.random.Generator], Lasts]
    looked_at: bool = False
    felt: bool = False


def weibull(rng: np.random.Generator) -> Lasts:
    """Wear and chance in one: shapes from 1.8 to 5."""
    shape = rng.uniform(1.8, 5.0)
    return lambda rng, n: np.asarray((rng.exponential(size=n) / np.log(2.0)) ** (1.0 / shape))


def lognormal(rng: np.random.Generator) -> Lasts:
    """Some last very long: ln-sd from .2 to .5."""
    sd = rng.uniform(0.2, 0.5)
    return lambda rng, n: np.exp(sd * rng.standard_normal(n))


def wear(rng: np.random.Generator) -> Lasts:
    """Wear that grows by gamma increments, steadily or in jumps, to where somebody calls it dull."""
    steps, called = rng.uniform(6.0, 40.0), rng.uniform(0.05, 0.25)

    def lasts(rng: np.random.Generator, n: int) -> Floats:
        grown = np.cumsum(rng.gamma(steps / 50.0, 1.0 / steps, size=(n, 400)), axis=1)
        limit = np.exp(called * rng.standard_normal(n))
        return np.asarray((1.0 + (grown < limit[:, None]).sum(axis=1)) / 50.0)

    return lasts


def materials(rng: np.random.Generator) -> Lasts:
    """What is cut differs from life to life, and the book's wear factors are wrong: ln-sd .4 a material."""
    shape = rng.uniform(2.0, 5.0)
    error = np.exp(0.4 * rng.standard_normal(4))

    def lasts(rng: np.random.Generator, n: int) -> Floats:
        true = (rng.exponential(size=n) / np.log(2.0)) ** (1.0 / shape)
        return np.asarray(true * (rng.dirichlet(np.full(4, 0.7), size=n) @ error))

    return lasts


def mixed(rng: np.random.Generator) -> Lasts:
    """One life in eight ends early by something that nobody noticed: grit, a staple, a hot cut."""
    shape = rng.uniform(2.5, 5.0)

    def lasts(rng: np.random.Generator, n: int) -> Floats:
        worn = (rng.exponential(size=n) / np.log(2.0)) ** (1.0 / shape)
        return np.asarray(np.where(rng.random(n) < 0.125, worn * rng.uniform(0.05, 0.8, n), worn))

    return lasts


TRUTHS = (
    Truth("Weibull", weibull),
    Truth("lognormal", lognormal),
    Truth("wear process", wear),
    Truth("seen late", weibull, looked_at=True),
    Truth("wrong factors", materials),
    Truth("unnoticed grit", mixed),
    Truth("felt coming", weibull, felt=True),
)


def invent(truth: Truth, count: int, coming: int, rng: np.random.Generator, off: float = OFF) -> Invented:
    """An edge that was renewed so often, and lives that may come next."""
    usual_h = float(rng.uniform(6.0, 60.0))
    median_h = usual_h * off ** rng.uniform(-1.0, 1.0)
    lasts_h = truth.edge(rng)(rng, count + coming) * median_h
    if truth.looked_at:
        # found dull at the end of the day: days of a twentieth to a third of a life
        day_h = median_h * rng.uniform(0.05, 0.35) * rng.uniform(0.3, 1.7, size=(len(lasts_h), 400))
        ends = np.cumsum(day_h, axis=1)
        lasts_h = ends[np.arange(len(ends)), (ends < lasts_h[:, None]).sum(axis=1)]
    lives = [_written(truth, float(h), median_h, rng) for h in lasts_h[:count]]
    return Invented(usual_h, lives, lasts_h[count:])


def _written(truth: Truth, lasts_h: float, median_h: float, rng: np.random.Generator) -> Life:
    """A life as the shop writes it down: seen to its end, or cut short."""
    early_h = median_h * rng.uniform(0.4, 1.2)
    if truth.felt:
        early_h = lasts_h * rng.uniform(0.7, 1.0)
    ends = [lasts_h]
    if rng.random() < EARLY:
        ends.append(early_h)
    if rng.random() < MISHAP:
        ends.append(lasts_h * rng.random())
    return Life(min(ends), min(ends) == lasts_h)
