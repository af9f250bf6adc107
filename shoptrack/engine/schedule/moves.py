"""An order of priority → another one near it, of which a better plan may come."""

from collections.abc import Sequence
from itertools import accumulate

import numpy as np

from shoptrack.engine.schedule.bench import Bench
from shoptrack.engine.shapes.planned import Plan

WEIGHTS = (2, 3, 3, 1, 1)
"""How often each move is tried: shift, pull, trade, elsewhere, swap. Ours, tried on invented shops."""
UP_IF_LATE = 0.8
"""So often a late job goes up the list and not down."""
FAR = 4.0
"""Every other shift goes so many times as far as the length of a job."""


class Moves:
    """The moves from one list to the next; a list names every task that is to be placed, once."""

    def __init__(self, bench: Bench, tasks: Sequence[int], rng: np.random.Generator) -> None:
        self._tasks = bench.problem.tasks
        self._orders = bench.problem.orders
        self._free = list(tasks)
        self._jobs = sorted({self._tasks[n].order for n in tasks})
        self._stride = len(self._free) / max(1, len(self._jobs))
        self._rng = rng
        self._moves = (self._shift, self._pull, self._trade, self._elsewhere, self._swap)
        self._bounds = list(accumulate(WEIGHTS))

    def next(self, line: Sequence[int], plan: Plan) -> list[int]:
        """A list near this one; ``plan`` is what came of this one. At times it is the same."""
        drawn = self._below(self._bounds[-1])
        move = next(m for m, bound in zip(self._moves, self._bounds, strict=True) if drawn < bound)
        return move(line, plan)

    def _below(self, count: int) -> int:
        return int(self._rng.integers(count))

    def _shift(self, line: Sequence[int], plan: Plan) -> list[int]:
        """A job from some stage on, or up to some stage, goes up or down the list."""
        return self._shifted(line, self._jobs[self._below(len(self._jobs))], 0.5)

    def _pull(self, line: Sequence[int], plan: Plan) -> list[int]:
        """The same with a late job, mostly up."""
        late = [self._late(plan, job) for job in self._jobs]
        if not any(late):
            return self._shift(line, plan)
        return self._shifted(line, self._drawn(late), UP_IF_LATE)

    def _late(self, plan: Plan, job: int) -> int:
        order, ready = self._orders[job], plan.ready[job]
        return 0 if order.due is None or ready is None else order.weight * max(0, ready - order.due)

    def _drawn(self, weights: Sequence[int]) -> int:
        bounds = list(accumulate(weights))
        drawn = self._rng.random() * bounds[-1]
        return next(job for job, bound in zip(self._jobs, bounds, strict=True) if drawn < bound)

    def _shifted(self, line: Sequence[int], job: int, up: float) -> list[int]:
        own = [n for n in line if self._tasks[n].order == job]
        cut = self._below(len(own))
        part = set(own[cut:] if self._rng.random() < 0.7 else own[: cut + 1])
        far = self._stride * (1.0 if self._rng.random() < 0.5 else FAR)
        by = 1.5 + self._rng.exponential(far)
        by = -by if self._rng.random() < up else by
        key = [place + by if n in part else place for place, n in enumerate(line)]
        return [line[place] for place in sorted(range(len(line)), key=key.__getitem__)]

    def _trade(self, line: Sequence[int], plan: Plan) -> list[int]:
        """Two jobs change places: the one that began later takes the first of the places that both have."""
        one = self._jobs[self._below(len(self._jobs))]
        other = self._jobs[self._below(len(self._jobs))]
        places = [place for place, n in enumerate(line) if self._tasks[n].order in (one, other)]
        first = self._tasks[line[places[0]]].order
        line_up = sorted((line[place] for place in places), key=lambda n: self._tasks[n].order == first)
        made = list(line)
        for place, n in zip(places, line_up, strict=True):
            made[place] = n
        return made

    def _elsewhere(self, line: Sequence[int], plan: Plan) -> list[int]:
        """One stage goes elsewhere."""
        n = self._free[self._below(len(self._free))]
        made = list(line)
        place = made.index(n)
        del made[place]
        by = 1 + int(self._rng.exponential(self._stride))
        made.insert(max(0, place + (by if self._rng.random() < 0.5 else -by)), n)
        return made

    def _swap(self, line: Sequence[int], plan: Plan) -> list[int]:
        """A stage changes places with the next one of another job that wants the same thing or people."""
        place = self._below(len(line))
        step = 1 if self._rng.random() < 0.5 else -1
        other = place + step
        while 0 <= other < len(line) and not self._compete(line[place], line[other]):
            other += step
        made = list(line)
        if 0 <= other < len(line):
            made[place], made[other] = made[other], made[place]
        return made

    def _compete(self, one: int, other: int) -> bool:
        a, b = self._tasks[one], self._tasks[other]
        if a.order == b.order:
            return False
        things = {thing for thing, _ in (*a.uses, *a.keeps)}
        return not things.isdisjoint(thing for thing, _ in (*b.uses, *b.keeps)) or bool(a.crew and b.crew)
