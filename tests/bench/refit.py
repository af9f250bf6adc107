"""A shop of six kinds with 2,000 logs each → how long learning it anew takes, beside least squares alone."""

from collections.abc import Callable
from math import log
from time import perf_counter

import numpy as np

from shoptrack.engine.durations import fit_shop
from shoptrack.engine.shapes.learned import Floats
from tests.bench import worlds
from tests.bench.worlds import KINDS, PATTERNS, WORLDS

COUNT, TIMES, BARE_TIMES = 2_000, 5, 50


def table(seed: int) -> list[str]:
    """The lines that say how long a refit takes."""
    rng = np.random.default_rng(seed)
    shop = worlds.invent(WORLDS[0], rng)
    past = worlds.jobs(shop, range(KINDS), COUNT, rng)
    minutes = worlds.logged_min(shop, worlds.honest_min(shop, past, rng)[0], rng)
    kinds = {k: (worlds.logs_of(past, minutes, k, 0, COUNT), shop.kinds[k].rule) for k in range(KINDS)}
    rows = [_rows(past, minutes, k) for k in range(KINDS)]
    ours_s = _fastest_s(lambda: fit_shop(kinds), TIMES)
    bare_s = _fastest_s(lambda: [np.linalg.lstsq(x, y, rcond=None) for x, y in rows], BARE_TIMES)
    return [
        f"{KINDS} kinds with {COUNT:,} logs each learned anew: {ours_s * 1000:.0f} ms, "
        f"{ours_s / bare_s:.0f} × numpy's lstsq of the same rows once each ({bare_s * 1000:.1f} ms)"
    ]


def _rows(past: worlds.Work, minutes: Floats, kind: int) -> tuple[Floats, Floats]:
    of_pattern = (past.pattern[:, None] == np.arange(PATTERNS)).astype(float)
    q = np.log(past.quantity[:, kind])
    x = np.column_stack([np.ones(COUNT), q - q.mean(), np.log1p(past.repeats), of_pattern])
    return x, np.log(minutes[:, kind]) - log(float(minutes[:, kind].mean()))


def _fastest_s(do: Callable[[], object], times: int) -> float:
    took = []
    for _ in range(times):
        began = perf_counter()
        do()
        took.append(perf_counter() - began)
    return min(took)
