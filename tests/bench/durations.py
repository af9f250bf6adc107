"""Minutes foretold in invented shops, or in a file of past times → CRPS, ranges that held, totals of jobs."""

import argparse
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from shoptrack.engine.durations import USUAL, Beliefs, fit, fit_shop
from shoptrack.engine.shapes.learned import Floats
from shoptrack.errors import BadInput
from tests.bench import baselines, job_totals, past_file, refit, worlds
from tests.bench.scores import LEVELS, Tally
from tests.bench.worlds import KINDS, WORLDS, Shop, Work, World

LOGS = (0, 1, 3, 10, 30, 100)
TAUGHT = tuple(n for n in LOGS if n >= 3)
NEXT = 6
"""Jobs that each shop is asked about after so many logs: any of them may be the next."""
DRAWS_A_LEVEL = 3
DRAWS = DRAWS_A_LEVEL * len(LEVELS)


def foretell_shops(
    shops: int, seed: int, beliefs: Beliefs = USUAL, chosen: Iterable[World] = WORLDS
) -> Tally:
    """Score every world's shops after each count of logs; keys are (world, logs of each kind)."""
    tally = Tally()
    for place, world in enumerate(chosen):
        for number in range(shops):
            rng = np.random.default_rng((seed, place, number))
            shop = worlds.invent(world, rng)
            for logs in LOGS:
                foretell(tally, shop, logs, beliefs, rng)
    return tally


def foretell(tally: Tally, shop: Shop, count: int, beliefs: Beliefs, rng: np.random.Generator) -> None:
    """Give a shop so many logs of each kind and score what is said of its next jobs."""
    past = worlds.jobs(shop, range(KINDS), count, rng)
    minutes = worlds.logged_min(shop, worlds.honest_min(shop, past, rng)[0], rng)
    logs = {k: worlds.logs_of(past, minutes, k, 0, count) for k in range(KINDS)}
    fits = fit_shop({k: (logs[k], shop.kinds[k].rule) for k in logs}, beliefs)
    coming = worlds.next_jobs(shop, past, NEXT, rng)
    came = worlds.honest_min(shop, coming, rng)[0]
    drawn = np.sort(worlds.honest_min(shop, coming, rng, DRAWS), axis=0)
    best = drawn[DRAWS_A_LEVEL // 2 :: DRAWS_A_LEVEL]
    for k, kind in enumerate(shop.kinds):
        knowing = fit(logs[k], kind.rule, baselines.told(shop, kind))
        said = {
            "ours": baselines.ours(fits[k], _asked(coming, k)),
            "told": baselines.ours(knowing, _asked(coming, k)),
            "oracle": best[:, :, k].T,
            **baselines.simple(logs[k], kind.rule, coming.quantity[:, k]),
        }
        tally.add((shop.world.name, count), said, came[:, k], np.full(NEXT, kind.usual_min))


def _asked(work: Work, column: int) -> list[tuple[float, int | None, int]]:
    quantity: Floats = work.quantity[:, column]
    return [(float(q), *worlds.repeated(work, job)) for job, q in enumerate(quantity)]


def table(tally: Tally) -> list[str]:
    """The lines by world and count of logs, and pooled."""
    names = (*baselines.METHODS, "told", "oracle")
    head = "".join(f"{name:>12}" for name in names)
    lines = [f"{'':18}{'logs':>5}{head}{'in 80 %':>10}{'in 90 %':>9}{'under P80':>11}"]
    for name, counts, keys in _rows():
        held = tally.held(keys)
        ratios = "".join(f"{tally.ratio(keys, method):12.2f}" for method in names)
        shares = f"{held.in_80:10.1%}{held.in_90:9.1%}{held.under_p80:11.1%}"
        lines.append(f"{name:18}{counts:>5}{ratios}{shares}")
    return lines


def _rows() -> Iterable[tuple[str, str, list[tuple[object, ...]]]]:
    for world in WORLDS:
        for n in LOGS:
            yield world.name, str(n), [(world.name, n)]
        yield world.name, "3 up", [(world.name, n) for n in TAUGHT]
    for n in LOGS:
        yield "all worlds", str(n), [(world.name, n) for world in WORLDS]
    yield "all worlds", "3 up", [(world.name, n) for world in WORLDS for n in TAUGHT]


def simulate(shops: int, seed: int) -> None:
    """Print what comes of invented shops."""
    print(f"CRPS on minutes, ours ÷ another method's (below 1 is better), {shops} shops in each world")
    print("\n".join(table(foretell_shops(shops, seed))))
    print()
    print("\n".join(job_totals.table(job_totals.walk_shops(max(shops // 3, 1), seed))))
    print()
    print("\n".join(refit.table(seed)))


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.durations", description=__doc__)
    parser.add_argument("file", type=Path, nargs="?", help="past times as CSV, scored one step ahead")
    parser.add_argument("--shops", type=int, default=12, help="in each world")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    if asked.file is None:
        simulate(asked.shops, asked.seed)
        return
    try:
        lines = past_file.table(asked.file)
    except (OSError, BadInput) as problem:
        parser.error(str(problem))
    print("\n".join(lines))


if __name__ == "__main__":
    main()
