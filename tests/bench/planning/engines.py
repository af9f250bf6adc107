"""A shop → what each of the planner's engines makes of it, and how long that took."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median
from time import perf_counter, process_time

import numpy as np

from shoptrack.engine.schedule.bench import bench_of
from shoptrack.engine.schedule.build import decode
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.improve import improve
from shoptrack.engine.schedule.moves import Moves
from shoptrack.engine.schedule.resume import begin, resume
from shoptrack.engine.schedule.rules import best_rule, earliest_date, rules
from shoptrack.engine.schedule.search import search
from shoptrack.engine.shapes.planned import Plan, Problem


@dataclass(frozen=True, slots=True)
class Made:
    """A plan by an engine, how long it took, and how many rules of the shop it breaks."""

    engine: str
    plan: Plan
    took_s: float
    broken: int


@dataclass(frozen=True, slots=True)
class Decoding:
    """Processor milliseconds: to set a problem out, to decode a list anew, to resume after one of the moves.

    ``alike`` is the share of moves after which the plan is the same.
    """

    set_out_ms: float
    whole_ms: float
    resumed_ms: float
    alike: float


def plans_of(
    problem: Problem, search_s: float, solver_s: tuple[float, ...], workers: int, seed: int
) -> Iterator[Made]:
    """The plan of each engine, one after another; the solver begins with that of the search."""
    yield _made(problem, "earliest date", lambda: earliest_date(problem))
    rule = _made(problem, "best rule", lambda: best_rule(problem))
    yield rule
    found = _made(problem, f"search {search_s:g} s", lambda: _searched(problem, rule.plan, search_s, seed))
    yield found
    for seconds in solver_s:
        name = f"+ solver {seconds:g} s"
        yield _made(problem, name, lambda s=seconds: improve(problem, found.plan, s, workers))  # type: ignore[misc]


def _searched(problem: Problem, first: Plan, seconds: float, seed: int) -> Plan:
    """By the processor's seconds: what else the machine does takes no moves away."""
    until = process_time() + seconds
    return search(problem, first, np.random.default_rng(seed), lambda: process_time() > until)


def _made(problem: Problem, engine: str, make: Callable[[], Plan]) -> Made:
    began = perf_counter()
    plan = make()
    return Made(engine, plan, perf_counter() - began, len(check(problem, plan)))


def decoding(problem: Problem, times: int, seed: int) -> Decoding:
    """How long a plan takes to be built."""
    set_out = _ms(lambda: bench_of(problem))
    bench = bench_of(problem)
    line = [n for n in rules(problem)["least slack"] if n not in bench.fixed]
    whole = [_ms(lambda: decode(bench, line)) for _ in range(max(3, times // 4))]
    rng = np.random.default_rng(seed)
    moves, now, alike = Moves(bench, line, rng), begin(bench, line), 0
    resumed = []
    for _ in range(times):
        near = moves.next(now.line, now.plan)
        began = process_time()
        tried = resume(now, near)
        resumed.append((process_time() - began) * 1000)
        alike += tried is None
        now = tried if tried is not None and tried.plan.worth <= now.plan.worth else now
    return Decoding(set_out, median(whole), float(np.mean(resumed)), alike / times)


def _ms(make: Callable[[], object]) -> float:
    began = process_time()
    make()
    return (process_time() - began) * 1000
