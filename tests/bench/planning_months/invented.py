"""A world and a seed → a shop's stages, the orders that come to it and when, and what each truly takes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shoptrack.engine.shapes.learned import Floats
from tests.bench import worlds
from tests.bench.worlds import World

DAY, WEEK = 1440, 7 * 1440
PEOPLE = 3
HOURS = ((450, 720), (750, 960))
"""Of every weekday, from midnight; minute 0 is the midnight before a Monday."""
DAY_MIN = sum(b - a for a, b in HOURS)
PLANER, SAW, CLAMPS = range(3)
STOCK = (1, 1, 8)
MILLED, SAWN, GLUED, SANDED, COATED, JOINED = range(6)
COLUMNS = (MILLED, SAWN, SANDED, GLUED, JOINED, SANDED, COATED, GLUED, SANDED, COATED)
"""The kinds of a job's stages, one after another: the first six to ten of these, and a coat at the end."""
CLAMPED = 3


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind of stage goes: what it holds, and the minutes before the next may begin.

    ``able``: who may do it. ``whole``: it may not be left for lunch or night. ``kept`` minutes after its end
    its clamps may come off, when somebody is there. ``soon``: so long after its wait the next needs no scuff.
    """

    station: int | None = None
    able: frozenset[int] = frozenset(range(PEOPLE))
    whole: bool = False
    clamps: int = 0
    kept: int = 0
    wait: int = 0
    soon: int | None = None


KINDS = (
    Kind(station=PLANER),
    Kind(station=SAW),
    Kind(whole=True, clamps=CLAMPED, kept=180, wait=720),
    Kind(),
    Kind(able=frozenset({0, 1}), whole=True, wait=960, soon=3 * DAY),
    Kind(),
)
# in the order of the numbers above: milled, sawn, glued, sanded, coated, joined


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of an order as everybody knows it: its kind, its measure, how many do it together."""

    kind: int
    quantity: float
    crew: int


@dataclass(frozen=True, slots=True)
class Given:
    """An order: when it comes, its stages, its pattern with the orders of it before, and what is hidden.

    ``honest`` are the minutes of each stage by one person, ``said`` those that timers will show, ``spoiled``
    says which are to be done again after that.
    """

    at: int
    stages: tuple[Stage, ...]
    pattern: int | None
    repeats: int
    honest: tuple[float, ...]
    said: tuple[float, ...]
    spoiled: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Shop:
    """An invented shop and the orders it will get, first to last."""

    world: World
    kinds: tuple[worlds.Kind, ...]
    orders: tuple[Given, ...]


def invent(world: World, days: int, load: float, spoiled: float, rng: np.random.Generator) -> Shop:
    """A shop with orders for so many days: people would be busy for a share ``load`` of their hours."""
    shop = worlds.invent(world, rng)
    count = 20 + days * 8
    work = worlds.jobs(shop, COLUMNS, count, rng)
    honest = worlds.honest_min(shop, work, rng)[0]
    said = worlds.logged_min(shop, honest, rng)
    stages = rng.integers(6, len(COLUMNS) + 1, count)
    usual = float(np.median([honest[n, : stages[n]].sum() for n in range(count)]))
    weekly = load * PEOPLE * 5 * DAY_MIN / (usual * 1.15)
    gaps = rng.exponential(5 * DAY_MIN / weekly, count)
    orders = []
    for n, at in enumerate(_on_the_wall(np.cumsum(gaps).tolist())):
        if at > days * DAY:
            break
        pattern, repeats = worlds.repeated(work, n)
        own = tuple(
            Stage(kind, float(work.quantity[n, c]), 2 if kind == JOINED and (pattern or 0) % 3 == 0 else 1)
            for c, kind in enumerate(COLUMNS[: stages[n]])
        )
        orders.append(Given(at, own, pattern, repeats, *_hidden(honest[n], said[n], len(own), spoiled, rng)))
    return Shop(world, shop.kinds, tuple(orders))


def _hidden(
    honest: Floats, said: Floats, stages: int, spoiled: float, rng: np.random.Generator
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[bool, ...]]:
    again = rng.random(stages) < spoiled
    return tuple(honest[:stages].tolist()), tuple(said[:stages].tolist()), tuple(again.tolist())


def _on_the_wall(worked: Sequence[float]) -> list[int]:
    """Minutes of working time to minutes of the wall: customers ring while the shop is open."""
    found = []
    for each in worked:
        days, rest = divmod(int(each), DAY_MIN)
        weeks, day = divmod(days, 5)
        first = HOURS[0][1] - HOURS[0][0]
        at = HOURS[0][0] + rest if rest < first else HOURS[1][0] + rest - first
        found.append(weeks * WEEK + day * DAY + at)
    return found
