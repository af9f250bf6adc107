"""An order of priority near the last one → its plan, begun where the two part: the same, but sooner."""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify, heappop

from shoptrack.engine.schedule.bench import Bench
from shoptrack.engine.schedule.build import Run
from shoptrack.engine.shapes.planned import Plan

MARKS = 16
"""A plan in the making is put by so often."""
LEAST_BETWEEN = 12


@dataclass(frozen=True, slots=True, eq=False)
class _Mark:
    """A plan half made: nothing but the first ``seen`` of its list was looked at."""

    seen: int
    run: Run


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """A list that was decoded, with what the next one can begin from."""

    line: Sequence[int]
    rank: list[int]
    marks: tuple[_Mark, ...]
    plan: Plan


def begin(bench: Bench, line: Sequence[int]) -> Tried:
    """Decode a list from its beginning."""
    run = Run(bench, line, None)
    run.begin()
    marks: list[_Mark] = []
    _go_on(run, marks, 0, ())
    return Tried(line, run.rank, tuple(marks), run.plan("search"))


def resume(last: Tried, line: Sequence[int]) -> Tried | None:
    """Decode a list of the same tasks; None: what comes of it is the same plan.

    Method: up to where the lists part all is as it was. From where they are alike again, and all that was
    placed until then lies as it did, all is as it was too.
    """
    size = len(line)
    part = next((n for n in range(size) if line[n] != last.line[n]), size)
    if part == size:
        return None
    alike = next(n for n in range(size, part, -1) if line[n - 1] != last.line[n - 1])
    marks = [mark for mark in last.marks if mark.seen <= part]
    run = _ranked(marks[-1].run, last.rank, line, range(part, alike))
    goals = tuple(mark for mark in last.marks if mark.seen >= alike)
    if _go_on(run, marks, marks[-1].seen, goals):
        return None
    return Tried(line, run.rank, tuple(marks), run.plan("search"))


def _ranked(run: Run, rank: Sequence[int], line: Sequence[int], changed: range) -> Run:
    """The same half of a plan, to go on by another list."""
    made = run.copy()
    made.rank = list(rank)
    for place in changed:
        made.rank[line[place]] = place
    made.heap = [(made.rank[n], n) for _, n in run.heap]
    heapify(made.heap)
    return made


def _go_on(run: Run, marks: list[_Mark], seen: int, goals: Sequence[_Mark]) -> bool:
    """Place what is left, and put by; whether it stands as at one of the goals, from where all is known."""
    between = max(LEAST_BETWEEN, len(run.rank) // MARKS)
    due = marks[-1].seen + between if marks else 0
    known = {goal.seen: goal.run for goal in goals}
    while run.heap:
        rank, n = run.heap[0]
        if n in run.at or run.open[n]:
            heappop(run.heap)
            continue
        if rank >= seen:
            if seen in known and _stand_alike(run, known[seen]):
                return True
            if seen >= due:
                marks.append(_Mark(seen, run.copy()))
                due = seen + between
            seen = rank + 1
        heappop(run.heap)
        run.place(n)
    return False


def _stand_alike(run: Run, other: Run) -> bool:
    return run.at == other.at and run.not_before == other.not_before and run.pulled == other.pulled
