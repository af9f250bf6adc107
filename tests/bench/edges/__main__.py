"""Invented edges: ranges of next lives and of days due that held, CRPS ÷ simple methods', time to learn."""

import argparse
from collections.abc import Callable
from time import process_time

import numpy as np

from shoptrack.engine.edge_due import Use, due
from shoptrack.engine.edge_life import Life, learn
from shoptrack.engine.edge_renewal import cheapest_h
from tests.bench.edges import lives, slipping, truths

TIMES = 40


def took() -> list[str]:
    """The processor's time to learn from 25 lives, to draw a due day over 60 days, and the rest."""
    rng, million = np.random.default_rng(1), np.linspace(-20.0, 0.0, 1_000_000)
    of_25 = [Life(float(h), bool(n % 3)) for n, h in enumerate(rng.uniform(10.0, 30.0, 25))]
    fit = learn(of_25, 20.0)
    uses = [Use(day, day // 4, 0.5) for day in range(60)]
    base_ms = _least_ms(lambda: np.exp(million))
    tasks = {
        "learn from 25 lives": lambda: learn(of_25, 20.0),
        "three quantiles of what is left": lambda: fit.left_quantiles(5.0, [0.1, 0.5, 0.9]),
        "due, 400 draws of 60 days": lambda: due(fit, 5.0, uses, rng),
        "cheapest interval": lambda: cheapest_h(fit, 20.0, 100.0),
    }
    found = {name: _least_ms(task) for name, task in tasks.items()}
    return [
        f"{name:34}{ms:8.2f} ms  × {ms / base_ms:.2f} of np.exp of a million" for name, ms in found.items()
    ]


def _least_ms(task: Callable[[], object]) -> float:
    """The least of some tries: what others do on the machine is no part of it."""
    tries = []
    for _ in range(TIMES):
        started = process_time()
        task()
        tries.append((process_time() - started) * 1e3)
    return min(tries)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.edges", description=__doc__)
    parser.add_argument("--edges", type=int, default=60, help="of each way of going dull and count of lives")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--off", type=float, default=truths.OFF, help="the usual life is off by up to this factor"
    )
    asked = parser.parse_args()
    print(f"The next life, {asked.edges} edges a line, the usual life off by up to {asked.off:g}")
    print("\n".join(lives.table(lives.walk(asked.edges, asked.seed, off=asked.off))), flush=True)
    print("\nThe day it is due; a month is planned, then the usual day's hours")
    for line in slipping.table(asked.edges, asked.seed):
        print(line, flush=True)
    print()
    print("\n".join(took()))


if __name__ == "__main__":
    main()
