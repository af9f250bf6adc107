"""Invented shops of 10, 30 and 60 jobs × 500 futures → seconds, beside a heap's of the same events."""

import argparse
import time
from collections.abc import Callable
from functools import partial
from heapq import heappop, heappush
from typing import TypeVar

import numpy as np

from shoptrack.engine.promise import Job, Unsure, draw_work, foresee, kept_by
from shoptrack.engine.schedule.rules import rules
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.planned import Problem
from shoptrack.engine.shapes.promised import Futures
from shoptrack.engine.totals import Part
from tests.bench.shops import shop

T = TypeVar("T")


def main() -> None:
    """Time draws and runs, the fastest of some tries each."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench.planning_months.futures", description=__doc__)
    asked.add_argument("--draws", type=int, default=500)
    asked.add_argument("--tries", type=int, default=2)
    args = asked.parse_args()
    print(f"{'jobs':>5}{'tasks':>7}{'draw s':>9}{'run s':>9}{'× heap':>9}{'P80 two seeds':>16}")
    for count in (10, 30, 60):
        problem = shop(count, 1)
        priority = rules(problem)["earliest date"]
        draw_s, drawn = _best(
            args.tries, partial(draw_work, _fixed(problem), jobs(problem, 1), 0.3, args.draws)
        )
        run_s, futures = _best(args.tries, partial(foresee, problem, priority, drawn))
        other = foresee(problem, priority, draw_work(_fixed(problem), jobs(problem, 2), 0.3, args.draws))
        heap_s, _ = _best(args.tries, partial(_heap, 2 * len(problem.tasks) * args.draws))
        apart = np.mean([abs(p80(futures, o) - p80(other, o)) for o in range(count)]) / 1440
        line = f"{count:5}{len(problem.tasks):7}{draw_s:9.2f}{run_s:9.2f}{run_s / heap_s:9.1f}"
        print(f"{line}{apart:11.2f} days")


def jobs(problem: Problem, seed: int) -> list[Job]:
    """Every task with hands as a stage of its own, a third of its minutes uncertain."""
    found: list[Job] = []
    for order in range(len(problem.orders)):
        own = [n for n, task in enumerate(problem.tasks) if task.order == order and task.hands_min]
        stages = [
            Unsure(Part(Prediction(12.0, float(np.log(problem.tasks[n].work)), 0.33)), (n,), (1.0,))
            for n in own
        ]
        found.append(Job(tuple(stages), seed * 1000 + order))
    return found


def p80(futures: Futures, order: int) -> int:
    """The minute that is kept eight times in ten."""
    return kept_by(futures, order, 0.8) or 0


def _fixed(problem: Problem) -> list[int]:
    return [task.work for task in problem.tasks]


def _heap(times: int) -> None:
    heap = list(range(60))
    for n in range(times):
        heappush(heap, n * 7919 % 1000)
        heappop(heap)


def _best(tries: int, do: Callable[[], T]) -> tuple[float, T]:
    times = []
    for _ in range(tries):
        started = time.process_time()
        found = do()
        times.append(time.process_time() - started)
    return min(times), found


if __name__ == "__main__":
    main()
