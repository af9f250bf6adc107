"""The people of a problem → groups of equal hours, the ways to crew a task, and how many are left of whom."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from shoptrack.engine.schedule.axis import Axis, in_common
from shoptrack.engine.schedule.model_alike import AWAY
from shoptrack.engine.shapes.planned import Problem, Task

Way = tuple[int, ...]
"""The groups that the people of a crew come from, one for each of them, in order."""


@dataclass(frozen=True, slots=True)
class Pool:
    """Those of a group who may do some tasks: no more of them are busy with these tasks than there are."""

    group: int
    members: frozenset[int]


class People:
    """Groups of workers with the same hours, by their places in the problem.

    ``apart``: those who may do different tasks are in different groups, so that anybody of a group may stand
    in for anybody else of it.
    """

    def __init__(self, problem: Problem, apart: bool) -> None:
        self.problem = problem
        named = {t.able for t in problem.tasks if t.able is not None and t.crew and t.stage != AWAY}
        self.sets = sorted(named, key=sorted)
        self.groups = self._grouped(apart)
        self.group_of = {w: g for g, members in enumerate(self.groups) for w in members}
        self.pools = self._pooled()
        self._axes: dict[Way, Axis] = {}

    def _grouped(self, apart: bool) -> tuple[frozenset[int], ...]:
        found: dict[object, set[int]] = {}
        for n, worker in enumerate(self.problem.workers):
            may = tuple(n in able for able in self.sets) if apart else ()
            found.setdefault((worker.spans, worker.days, may), set()).add(n)
        return tuple(frozenset(members) for members in found.values())

    def _pooled(self) -> tuple[Pool, ...]:
        found: dict[Pool, None] = {}
        for g, members in enumerate(self.groups):
            found[Pool(g, members)] = None
            found.update((Pool(g, members & able), None) for able in self.sets if members & able)
        return tuple(found)

    def able(self, task: Task, group: int) -> frozenset[int]:
        """Those of a group who may do a task."""
        members = self.groups[group]
        return members if task.able is None else members & task.able

    def ways(self, task: Task) -> tuple[Way, ...]:
        """From which groups its crew can come, none where nobody need. Empty: there are not enough."""
        able = [g for g in range(len(self.groups)) if self.able(task, g)]
        every = combinations_with_replacement(able, task.crew if task.hands_min else 0)
        return tuple(way for way in every if all(way.count(g) <= len(self.able(task, g)) for g in set(way)))

    def way_of(self, workers: Sequence[int]) -> Way:
        """From which groups these people come."""
        return tuple(sorted(self.group_of[w] for w in workers))

    def axis(self, way: Way) -> Axis:
        """The hours that people of these groups have in common."""
        if way not in self._axes:
            self._axes[way] = in_common([self.problem.workers[min(self.groups[g])] for g in sorted(set(way))])
        return self._axes[way]

    def draws(self, pool: Pool, task: Task, way: Way) -> int:
        """How many of a pool a task takes, crewed in a way."""
        return way.count(pool.group) if self.able(task, pool.group) <= pool.members else 0

    def choices(self) -> int:
        """How many ways all tasks have together."""
        return sum(len(self.ways(task)) for task in self.problem.tasks)
