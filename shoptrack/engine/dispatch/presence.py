"""The hours of people → who is at work from when to when, people as bits."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from shoptrack.engine.schedule.axis import Axis, anybody, axis_of, in_common
from shoptrack.engine.shapes.planned import Problem
from shoptrack.engine.shapes.promised import NEVER


@dataclass(slots=True)
class Presence:
    """Who is at work when. Those who may do the fewest tasks are the lowest bits: whom to take first.

    ``edges`` are the minutes at which somebody comes or goes and ``present`` who is at work from each on;
    ``stays`` says of each edge until when each of them is there, lastly until when anybody is, and ``days``
    the same with what is left of the day after the lunch: what ends before that minute, counted without the
    lunch, ends on that day.
    """

    problem: Problem
    worker_at: list[int]
    bit_of: dict[int, int]
    edges: list[int]
    present: list[int]
    stays: list[list[int]]
    days: list[list[int]]
    anybody: Axis
    axes: dict[int, Axis] = field(default_factory=dict)

    def axis(self, people: int) -> Axis:
        """The hours at which all of some people are at work."""
        found = self.axes.get(people)
        if found is None:
            workers = [self.problem.workers[self.worker_at[bit]] for bit in bits(people)]
            found = self.axes[people] = axis_of(workers[0]) if len(workers) == 1 else in_common(workers)
        return found

    def somebody_at(self, minute: int) -> int:
        """When somebody is at work from a minute on; where nobody works at all, that minute."""
        if not self.edges:
            return minute
        at = self.anybody.next(minute)
        return NEVER if at is None else at


def presence_of(problem: Problem) -> Presence:
    """Lay out the hours of the people of a problem. Empty: nobody, no edges."""
    worker_at = _least_able_first(problem)
    bit_of = {w: 1 << bit for bit, w in enumerate(worker_at)}
    edges, present = _comings(problem, bit_of)
    stays, days = _stays(problem, worker_at, edges)
    return Presence(problem, worker_at, bit_of, edges, present, stays, days, anybody(problem.workers))


def bits(people: int) -> Iterator[int]:
    """The places of the people in a set of bits."""
    while people:
        low = people & -people
        yield low.bit_length() - 1
        people ^= low


def lowest(people: int, count: int) -> int:
    """So many of the lowest bits."""
    found = 0
    for _ in range(count):
        found |= people & -people
        people &= people - 1
    return found


def _least_able_first(problem: Problem) -> list[int]:
    may = [0] * len(problem.workers)
    for task in problem.tasks:
        for w in range(len(may)) if task.able is None else task.able:
            may[w] += 1
    return sorted(range(len(may)), key=lambda w: (may[w], w))


def _comings(problem: Problem, bit_of: dict[int, int]) -> tuple[list[int], list[int]]:
    """The minutes at which somebody comes or goes, and who is at work from each on."""
    turns: dict[int, int] = {}
    for w, worker in enumerate(problem.workers):
        for start, end in worker.spans:
            turns[start] = turns.get(start, 0) ^ bit_of[w]
            turns[end] = turns.get(end, 0) ^ bit_of[w]
    edges = sorted(turns)
    present, here = [], 0
    for edge in edges:
        here ^= turns[edge]
        present.append(here)
    return edges, present


def _stays(
    problem: Problem, worker_at: Sequence[int], edges: Sequence[int]
) -> tuple[list[list[int]], list[list[int]]]:
    """Of each edge until when everybody stays, lastly anybody, without and with the rest of the day."""
    axes = [*(axis_of(problem.workers[w]) for w in worker_at), anybody(problem.workers)]
    stays, days = [[NEVER] * len(axes) for _ in edges], [[NEVER] * len(axes) for _ in edges]
    for who, axis in enumerate(axes):
        left = 0
        for n in reversed(range(len(axis.starts))):
            same_day = n + 1 < len(axis.starts) and axis.days[n + 1] == axis.days[n]
            left = left + axis.ends[n + 1] - axis.starts[n + 1] if same_day else 0
            for edge in range(bisect_left(edges, axis.starts[n]), bisect_left(edges, axis.ends[n])):
                stays[edge][who], days[edge][who] = axis.ends[n], axis.ends[n] + left
    return stays, days
