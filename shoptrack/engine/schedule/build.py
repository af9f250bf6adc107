"""A problem and an order of priority → a plan: each task at the first time at which all it needs is free.

Method: serial schedule generation (Kelley 1963) on the exact calendar. A task whose greatest wait would be
missed pulls the one before it later, and what came after that is placed again.
"""

from collections.abc import Mapping, Sequence
from copy import copy
from heapq import heappop, heappush
from typing import Literal

from shoptrack.engine.schedule.bench import Bench, bench_of
from shoptrack.engine.schedule.problem import ready_of, worth_of
from shoptrack.engine.schedule.scene import Scene
from shoptrack.engine.shapes.planned import After, Left, Missed, Placed, Plan, Problem

PULLS = 6
"""So often a task is pulled later for the one that must follow it soon; then that wait is missed."""

By = Literal["rule", "search", "solver"]


def build(
    problem: Problem,
    priority: Sequence[int],
    not_before: Mapping[int, int] | None = None,
    by: By = "rule",
) -> Plan:
    """Place every task, the first of ``priority`` first.

    Takes tasks by their place in the problem; one that waits for another comes after it whatever is said;
    those not named come last. ``not_before`` are least starts. Gives a plan that keeps every rule. Empty: a
    problem without tasks has a plan without any.
    """
    return decode(bench_of(problem), priority, not_before, by)


def decode(
    bench: Bench,
    priority: Sequence[int],
    not_before: Mapping[int, int] | None = None,
    by: By = "rule",
) -> Plan:
    """The same on a bench that was set out before."""
    run = Run(bench, priority, not_before)
    run.begin()
    run.place_all()
    return run.plan(by)


class Run:
    """One plan while it is made."""

    def __init__(self, bench: Bench, priority: Sequence[int], not_before: Mapping[int, int] | None) -> None:
        self.bench = bench
        self.scene = Scene(bench)
        tasks = bench.problem.tasks
        self.rank = [len(tasks) + n for n in range(len(tasks))]
        for rank, task in enumerate(priority):
            self.rank[task] = rank
        self.open = list(bench.waits)
        self.at: dict[int, Placed] = {}
        self.not_before = dict(not_before or {})
        self.pulled: dict[int, int] = {}
        self.left: dict[int, Left] = {each.task: each for each in bench.left}
        self.heap: list[tuple[int, int]] = []

    def copy(self) -> "Run":
        """Another one that stands as this does, with the same order of priority."""
        made = copy(self)
        made.scene, made.heap, made.open = self.scene.copy(), self.heap[:], self.open[:]
        made.at, made.left = self.at.copy(), self.left.copy()
        made.not_before, made.pulled = self.not_before.copy(), self.pulled.copy()
        return made

    def begin(self) -> None:
        """Place what is in hand, and see what may come next."""
        for n in sorted(self.bench.fixed):
            self._put(n, self.scene.begun_place(n))
        for n, waits in enumerate(self.open):
            if not waits and n not in self.at and n not in self.left:
                heappush(self.heap, (self.rank[n], n))

    def place_all(self) -> None:
        """Place all that can be placed, in order of priority."""
        while self.heap:
            _, n = heappop(self.heap)
            if n not in self.at and not self.open[n]:
                self.place(n)

    def place(self, n: int) -> None:
        """Place a task, or take out what it comes too late after."""
        low, high = self._window(n)
        found = self.scene.first_place(n, low)
        if found is None:
            self._leave(n)
            return
        if found.start > high and self._pull(n, found.start):
            return
        self._put(n, found)

    def _window(self, n: int) -> tuple[int, int]:
        """The least and greatest start that those before it allow."""
        low = max(self.bench.problem.tasks[n].earliest, self.not_before.get(n, 0))
        high = self.bench.problem.horizon
        for after in self.bench.problem.tasks[n].after:
            end = self.at[after.task].end
            low = max(low, end + after.least)
            if after.greatest is not None:
                high = min(high, end + after.greatest)
        return low, high

    def _put(self, n: int, placed: Placed) -> None:
        self.at[n] = placed
        self.scene.take(placed)
        for follower in self.bench.followers[n]:
            self.open[follower] -= 1
            if not self.open[follower] and follower not in self.left and follower not in self.at:
                heappush(self.heap, (self.rank[follower], follower))

    def _pull(self, n: int, start: int) -> bool:
        """Place what this task comes too late after again, later; whether that was still to be tried."""
        late = [a for a in self.bench.problem.tasks[n].after if self._misses(a, start)]
        movable = [a for a in late if a.task not in self.bench.fixed and self.pulled.get(a.task, 0) < PULLS]
        if len(movable) < len(late):
            return False
        for after in movable:
            before = self.at[after.task]
            self.pulled[after.task] = self.pulled.get(after.task, 0) + 1
            self.not_before[after.task] = start - (after.greatest or 0) - (before.end - before.start)
        for after in movable:
            self._take_out(after.task)
        return True

    def _misses(self, after: After, start: int) -> bool:
        return after.greatest is not None and start > self.at[after.task].end + after.greatest

    def _take_out(self, n: int) -> None:
        """Take a task out of the plan, and what was placed after it; it comes again in its turn."""
        if n not in self.at or n in self.bench.fixed:
            return
        for follower in self.bench.followers[n]:
            self._take_out(follower)
            self.open[follower] += 1
        self.scene.give_back(self.at.pop(n))
        if not self.open[n]:
            heappush(self.heap, (self.rank[n], n))

    def _leave(self, n: int) -> None:
        name = self.bench.problem.tasks[n].name
        self.left[n] = Left(n, "horizon", f"{name} finds no place in the time that is planned.")
        for follower in self.bench.all_after(n):
            sentence = f"{self.bench.problem.tasks[follower].name} waits for {name}."
            self.left.setdefault(follower, Left(follower, "after", sentence))

    def plan(self, by: By) -> Plan:
        """What was placed, in the order of starts."""
        problem = self.bench.problem
        placed = tuple(sorted(self.at.values(), key=lambda p: (p.start, p.end, self.rank[p.task])))
        missed = tuple(each for p in placed for each in self._missed(p))
        ready = ready_of(problem, placed)
        left = tuple(self.left[n] for n in sorted(self.left))
        return Plan(placed, worth_of(problem, ready, len(missed)), ready, left, missed, by)

    def _missed(self, placed: Placed) -> list[Missed]:
        task = self.bench.problem.tasks[placed.task]
        if task.begun is not None:
            return []
        found = []
        if task.latest is not None and placed.start > task.latest:
            late = placed.start - task.latest
            found.append(Missed(placed.task, placed.task, late, f"{task.name} comes too late."))
        for after in task.after:
            if self._misses(after, placed.start):
                late = placed.start - self.at[after.task].end - (after.greatest or 0)
                before = self.bench.problem.tasks[after.task].name
                sentence = f"{task.name} comes too late after {before}."
                found.append(Missed(placed.task, after.task, late, sentence))
        return found
