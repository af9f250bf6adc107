"""A problem and a plan of it → a better plan, by moves from one order of priority to the next.

Method: simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983) over activity lists, each decoded by serial
schedule generation, in rounds that grow longer.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import count
from math import exp

import numpy as np

from shoptrack.engine.schedule.bench import Bench, bench_of
from shoptrack.engine.schedule.moves import Moves
from shoptrack.engine.schedule.resume import Tried, begin, resume
from shoptrack.engine.schedule.rules import rules
from shoptrack.engine.shapes.planned import Plan, Problem, Worth

FIRST_ROUND = 200
"""Moves in the first round; each next one has half as many again."""
HOT, COLD = 0.01, 0.0003
"""A plan worse by this share of the best is taken once in e times, at the beginning and end of a round."""
A_STAGE_LEFT_OUT_MIN, A_MISSED_WAIT_MIN = 1_000_000, 20_000
FLOW_PER_LATE = 50
"""On the way, not in the end: these weigh as so many late minutes, each of those as so much flow."""


def search(
    problem: Problem,
    first: Plan,
    rng: np.random.Generator,
    stop: Callable[[], bool],
    moves: int | None = None,
) -> Plan:
    """The best plan found until told to stop or after so many moves; ``first`` where none is better.

    The same generator and number of moves give the same plan. ``stop`` is asked before every move. Empty: a
    problem with fewer than two tasks to place has ``first``.
    """
    bench = bench_of(problem)
    tasks = _to_place(bench)
    if len(tasks) < 2:
        return first
    budget = _Budget(stop, moves)
    best = first
    for found in _walks(bench, first, tasks, rng, budget):
        if _value(found) < _value(best):
            best = found
    return best


class _Budget:
    """Moves while there are any left."""

    def __init__(self, stop: Callable[[], bool], moves: int | None) -> None:
        self._stop = stop
        self._left = moves
        self.over = False

    def spend(self) -> bool:
        """Whether one more move may be made."""
        self.over = self.over or self._left == 0 or self._stop()
        if self._left is not None:
            self._left -= 1
        return not self.over


def _walks(
    bench: Bench, first: Plan, tasks: Sequence[int], rng: np.random.Generator, budget: _Budget
) -> Iterator[Plan]:
    """Every plan that is the best so far: of the starts, then in rounds from them and from the best."""
    starts: list[Tried] = []
    for line in _lines(bench, first, tasks):
        if not budget.spend():
            return
        starts.append(begin(bench, line))
        yield starts[-1].plan
    starts.sort(key=lambda tried: _value(tried.plan))
    best = starts[0]
    moves = Moves(bench, tasks, rng)
    for turn in count():
        if budget.over:
            return
        # one round from each start, and one from the best after each of those
        start = starts[turn // 2] if turn % 2 == 0 and turn // 2 < len(starts) else best
        length = round(FIRST_ROUND * 1.5**turn)
        for tried in _round(start, moves, _cooling(best, length), rng, budget):
            if _value(tried.plan) < _value(best.plan):
                best = tried
                yield best.plan


def _round(
    start: Tried, moves: Moves, heats: Iterator[float], rng: np.random.Generator, budget: _Budget
) -> Iterator[Tried]:
    """The lists that a round goes through."""
    now = start
    for heat in heats:
        if not budget.spend():
            return
        tried = resume(now, moves.next(now.line, now.plan))
        if tried is not None and _taken(_cost(tried.plan) - _cost(now.plan), heat, rng):
            now = tried
            yield now


def _taken(worse: float, heat: float, rng: np.random.Generator) -> bool:
    return worse <= 0 or rng.random() < exp(-worse / heat)


def _cooling(best: Tried, length: int) -> Iterator[float]:
    """How much worse may be taken, from move to move."""
    unit = max(1.0, _cost(best.plan))
    return (unit * HOT * (COLD / HOT) ** (n / length) for n in range(length))


def _value(plan: Plan) -> tuple[int, Worth]:
    """What is left out costs nothing: a plan of fewer stages is not the better one."""
    return len(plan.left), plan.worth


def _cost(plan: Plan) -> float:
    worth = plan.worth
    out = len(plan.left) * A_STAGE_LEFT_OUT_MIN + worth.missed * A_MISSED_WAIT_MIN
    return out + worth.late + worth.flow / FLOW_PER_LATE


def _to_place(bench: Bench) -> tuple[int, ...]:
    out = bench.fixed | {each.task for each in bench.left}
    return tuple(n for n in bench.order if n not in out)


def _lines(bench: Bench, first: Plan, tasks: Sequence[int]) -> Iterator[list[int]]:
    """Lists to start from: that of the plan given, and those of the rules."""
    wanted = set(tasks)
    given = [n for n in first.priority if n in wanted]
    missing = wanted.difference(given)
    yield [*given, *(n for n in tasks if n in missing)]
    for line in rules(bench.problem).values():
        yield [n for n in line if n in wanted]
