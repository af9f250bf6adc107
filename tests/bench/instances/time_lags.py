"""A project with least and greatest time lags to an instance: the files of ProGen/max that end in .sch.

Format: a line with the numbers of jobs and of renewable resources; a line for each job, a source and a sink
among them: its number, its modes, how many follow, those, and for each in brackets the lag from start to
start; a line for each job with its mode, its minutes and what it asks of each resource; a line with what
there is of each.
"""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence

from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task
from tests.bench.instances.instance import Instance, Unreadable
from tests.bench.instances.projects import uses

Lag = tuple[int, int, int]
"""From the start of one to the start of another at least so many minutes, which may be less than none."""


def read_lags(text: str, name: str) -> Instance:
    """The one project in a text.

    A lag of less than nothing says that the first must start soon enough after the other: a greatest wait
    where it comes after the other anyway; else the other may begin so much before it.
    Raises: Unreadable for jobs with several modes and for resources that are used up.
    """
    head, *lines = [line for line in text.splitlines() if line.strip()]
    jobs, resources, *used_up = [int(word) for word in head.split()]
    size = jobs + 2
    if any(used_up) or len(lines) != 2 * size + 1:
        raise Unreadable(f"{name}: has resources that are used up, or not two lines a job")
    lags = [lag for line in lines[:size] for lag in _lags(line, name)]
    rows = [[int(word) for word in line.split()] for line in lines[size : 2 * size]]
    owned = [int(word) for word in lines[-1].split()][:resources]
    work = {row[0]: row[2] for row in rows}
    waits = afters(lags, work)
    tasks = tuple(
        Task(0, work[n], f"job {n}", crew=0, uses=uses(row[3:]), after=waits[n]) for n, row in enumerate(rows)
    )
    horizon = sum(max([work[n], *(lag for start, _, lag in lags if start == n)]) for n in work)
    there = tuple(Resource(f"resource {n + 1}", amount) for n, amount in enumerate(owned))
    return Instance(name, Problem(tasks, (Order("project"),), (), there, horizon))


def _lags(line: str, name: str) -> list[Lag]:
    """The lags of one line."""
    job, modes, count, *rest = [int(word) for word in re.findall(r"-?\d+", line)]
    if modes != 1 or len(rest) != 2 * count:
        raise Unreadable(f"{name}: job {job} has several modes, or not a lag for each that follows")
    return [(job, other, lag) for other, lag in zip(rest[:count], rest[count:], strict=True)]


def afters(lags: Sequence[Lag], work: Mapping[int, int]) -> dict[int, tuple[After, ...]]:
    """Lags from start to start as waits from end to start, with no ring of tasks after each other.

    The longest lags are taken first; one that would close a ring becomes a greatest wait the other way round.
    """
    least: dict[tuple[int, int], int] = {}
    greatest: dict[tuple[int, int], int] = {}
    later: dict[int, set[int]] = defaultdict(set)
    for one, other, lag in sorted(lags, key=lambda each: -each[2]):
        if one in _reached(later, other):
            pair, most = (one, other), -lag - work[other]
            greatest[pair] = min(most, greatest.get(pair, most))
        else:
            pair, wait = (other, one), lag - work[one]
            least[pair] = max(wait, least.get(pair, wait))
            later[one].add(other)
    never = -sum(work.values()) - sum(abs(lag) for *_, lag in lags)
    pairs = sorted({**least, **greatest})
    waits = {n: [(before, pair) for pair in pairs for before in pair[1:] if pair[0] == n] for n in work}
    return {
        n: tuple(After(before, least.get(pair, never), greatest.get(pair)) for before, pair in found)
        for n, found in waits.items()
    }


def _reached(later: Mapping[int, set[int]], start: int) -> set[int]:
    """Whatever comes after a task, over others too, and the task itself."""
    found, open_ = {start}, [start]
    while open_:
        for each in later.get(open_.pop(), ()):
            if each not in found:
                found.add(each)
                open_.append(each)
    return found
