"""A seed → shops whose stages take time in ways that the method isn't told, and the work they do."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
from scipy.stats import gamma, norm

from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Floats, Log

KINDS, PATTERNS = 6, 8
ONE_OFF = -1
"""The pattern of a job that has none."""
SHARE_OF_ONE_OFFS = 0.1
SHARE_OF_NEW_MACHINES = 0.5
"""The share of kinds that the new machine is for, in the world that gets one."""
LEAST_MIN = 0.5


@dataclass(frozen=True, slots=True)
class World:
    """How time goes in a world; a pair is the range that a shop (or a kind of it) draws its own from.

    ``wrong``: the rule of thumb is off by up to so many times. ``learning``: minutes ∝ orders^−learning.
    ``step``: what a new machine leaves of the minutes of the kinds that it is for. ``rework``: the share of
    stages of which a part is done again. ``wild``: the share of logs whose timer ran on (× 3 to 10) or was
    cut short (× .1 to .5). ``power``: minutes ∝ measure^power instead of set-up and rate. ``apart``: set-up
    and rate are off by factors of their own and vary by themselves.
    """

    name: str
    wrong: float = 2.0
    skewed: bool = False
    apart: bool = False
    learning: tuple[float, float] = (0.0, 0.0)
    step: tuple[float, float] = (1.0, 1.0)
    rework: tuple[float, float] = (0.0, 0.0)
    wild: tuple[float, float] = (0.0, 0.0)
    power: tuple[float, float] | None = None


WORLDS = (
    World("lognormal"),
    World("gamma", skewed=True),
    World("set-up plus rate", apart=True),
    World("learning", learning=(0.1, 0.35)),
    World("rework", rework=(0.08, 0.2)),
    World("bad timers", wild=(0.04, 0.12)),
    World("wrong scaling", wrong=3.0, power=(0.4, 1.4)),
    World("a step", step=(0.5, 0.8)),
)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of stage: the shop's rule of thumb, and how it truly goes.

    ``usual`` is the middle of its measures, ``effects`` the ln of what each pattern makes of it.
    """

    rule: Rule
    true: Rule
    usual: float
    noise: float
    learning: float
    step: float
    power: float | None
    effects: Floats

    @property
    def usual_min(self) -> float:
        """Minutes of the middle stage."""
        return self.true.minutes(self.usual)


@dataclass(frozen=True, slots=True)
class Shop:
    """A shop of a world. ``likeness``: the share of a stage's noise that is of its whole job."""

    world: World
    kinds: tuple[Kind, ...]
    pattern_sd: float
    chances: Floats
    likeness: float
    rework: float
    wild: float


@dataclass(frozen=True, slots=True)
class Work:
    """Jobs one after another, a row each; a column is a stage of the kind that ``columns`` names.

    ``repeats`` are earlier orders of the job's pattern; ``after``: with the new machine.
    """

    columns: tuple[int, ...]
    quantity: Floats
    pattern: Floats
    repeats: Floats
    effect: Floats
    after: Floats

    def __len__(self) -> int:
        return len(self.pattern)


def invent(world: World, rng: np.random.Generator) -> Shop:
    """A shop of a world."""
    noise, pattern_sd = rng.uniform(0.15, 0.5), rng.uniform(0.1, 0.35)
    common = rng.normal(size=PATTERNS)
    kinds = tuple(_kind(world, noise, pattern_sd, common, rng) for _ in range(KINDS))
    return Shop(
        world=world,
        kinds=kinds,
        pattern_sd=pattern_sd,
        chances=rng.dirichlet(np.full(PATTERNS, 1.5)),
        likeness=rng.uniform(0.1, 0.6),
        rework=rng.uniform(*world.rework),
        wild=rng.uniform(*world.wild),
    )


def _kind(world: World, noise: float, pattern_sd: float, common: Floats, rng: np.random.Generator) -> Kind:
    rule = Rule(setup_min=rng.uniform(5.0, 40.0), rate_min=exp(rng.uniform(log(2.0), log(20.0))))
    off = _factor(world.wrong, rng)
    true = Rule(rule.setup_min * off, rule.rate_min * (_factor(world.wrong, rng) if world.apart else off))
    return Kind(
        rule=rule,
        true=true,
        usual=exp(rng.uniform(log(3.0), log(15.0))),
        noise=noise * exp(rng.normal(0.0, 0.2)),
        learning=rng.uniform(*world.learning),
        step=rng.uniform(*world.step) if rng.random() < SHARE_OF_NEW_MACHINES else 1.0,
        power=None if world.power is None else rng.uniform(*world.power),
        effects=_effects(pattern_sd, common, rng),
    )


def _factor(most: float, rng: np.random.Generator) -> float:
    return exp(rng.uniform(-log(most), log(most)))


def _effects(pattern_sd: float, common: Floats, rng: np.random.Generator) -> Floats:
    """What patterns make of a kind's ln minutes: what is fiddly in one kind is partly so in all."""
    return pattern_sd * (sqrt(0.4) * common + sqrt(0.6) * rng.normal(size=common.shape))


def jobs(shop: Shop, columns: Sequence[int], count: int, rng: np.random.Generator) -> Work:
    """So many jobs from the shop's first day on; the new machine comes halfway."""
    pattern = _patterns(shop, count, rng)
    repeats = np.array([np.sum(pattern[:n] == pattern[n]) for n in range(count)], dtype=float)
    after = np.arange(count) >= count / 2
    return _work(shop, columns, pattern, np.where(pattern == ONE_OFF, 0.0, repeats), after, rng)


def next_jobs(shop: Shop, before: Work, count: int, rng: np.random.Generator) -> Work:
    """So many different jobs, any of which may be the next after some; the machine stays."""
    pattern = _patterns(shop, count, rng)
    repeats = np.array([0.0 if p == ONE_OFF else np.sum(before.pattern == p) for p in pattern])
    return _work(shop, before.columns, pattern, repeats, np.full(count, before.after.max(initial=0.0)), rng)


def _patterns(shop: Shop, count: int, rng: np.random.Generator) -> Floats:
    drawn = rng.choice(PATTERNS, count, p=shop.chances).astype(float)
    return np.where(rng.random(count) < SHARE_OF_ONE_OFFS, ONE_OFF, drawn)


def _work(
    shop: Shop,
    columns: Sequence[int],
    pattern: Floats,
    repeats: Floats,
    after: Floats,
    rng: np.random.Generator,
) -> Work:
    usual = np.array([shop.kinds[k].usual for k in columns])
    quantity = np.exp(rng.normal(np.log(usual), 0.6, (len(pattern), len(columns))))
    effects = np.array([shop.kinds[k].effects for k in columns]).T
    strange = rng.normal(size=(len(pattern), 1))
    one_off = np.stack([_effects(shop.pattern_sd, strange[:, 0], rng) for _ in columns], axis=1)
    of_pattern = pattern[:, None] == ONE_OFF
    return Work(
        columns=tuple(columns),
        quantity=np.maximum(np.round(quantity), 1.0),
        pattern=pattern,
        repeats=repeats,
        effect=np.where(of_pattern, one_off, effects[pattern.astype(int)]),
        after=after.astype(float),
    )


def honest_min(shop: Shop, work: Work, rng: np.random.Generator, times: int = 1) -> Floats:
    """What each stage takes, drawn so many times anew: (times, jobs, stages)."""
    common = rng.normal(size=(times, len(work)))
    drawn = [_column_min(shop, work, n, common, rng) for n in range(len(work.columns))]
    return np.stack(drawn, axis=2)


def _column_min(shop: Shop, work: Work, n: int, common: Floats, rng: np.random.Generator) -> Floats:
    kind = shop.kinds[work.columns[n]]

    def noise() -> Floats:
        own = rng.normal(size=common.shape)
        return np.asarray(sqrt(shop.likeness) * common + sqrt(1.0 - shop.likeness) * own)

    quantity = work.quantity[:, n]
    factor = np.exp(work.effect[:, n]) * (1.0 + work.repeats) ** -kind.learning
    factor = factor * np.where(work.after > 0, kind.step, 1.0)
    if shop.world.apart:
        setup = kind.true.setup_min * np.exp(kind.noise * noise())
        drawn = setup + kind.true.rate_min * quantity * np.exp(kind.noise * noise())
    else:
        drawn = _middle_min(kind, quantity) * _noisy(kind.noise, shop.world.skewed, noise())
    return np.asarray(np.maximum(factor * drawn * _reworked(shop.rework, common.shape, rng), LEAST_MIN))


def _middle_min(kind: Kind, quantity: Floats) -> Floats:
    if kind.power is None:
        return kind.true.setup_min + kind.true.rate_min * quantity
    return np.asarray(kind.usual_min * (quantity / kind.usual) ** kind.power)


def _noisy(noise: float, skewed: bool, z: Floats) -> Floats:
    if not skewed:
        return np.exp(noise * z)
    shape = 1.0 / noise**2
    return np.asarray(gamma.ppf(norm.cdf(z), shape) / shape)


def _reworked(share: float, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
    if share == 0.0:
        return np.ones(shape)
    return 1.0 + (rng.random(shape) < share) * rng.uniform(0.3, 1.2, shape)


def logged_min(shop: Shop, honest: Floats, rng: np.random.Generator) -> Floats:
    """What the timers say that stages took."""
    ran_on, cut = rng.uniform(3.0, 10.0, honest.shape), rng.uniform(0.1, 0.5, honest.shape)
    wrong = np.where(rng.random(honest.shape) < 0.5, ran_on, cut)
    said = honest * np.where(rng.random(honest.shape) < shop.wild, wrong, 1.0)
    return np.asarray(np.maximum(said, LEAST_MIN))


def logs_of(work: Work, minutes: Floats, kind: int, first: int, last: int) -> list[Log]:
    """The logs of a kind that the jobs from first to before last left."""
    return [
        Log(f"{job}.{n}", float(minutes[job, n]), float(work.quantity[job, n]), *repeated(work, job))
        for job in range(first, last)
        for n, column in enumerate(work.columns)
        if column == kind and minutes[job, n] > 0
    ]


def repeated(work: Work, job: int) -> tuple[int | None, int]:
    """A job's pattern, and how many orders of it came before."""
    pattern = int(work.pattern[job])
    return (None, 0) if pattern == ONE_OFF else (pattern, int(work.repeats[job]))
