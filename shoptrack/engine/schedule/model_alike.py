"""People with about the same hours → the same people all alike, who are away by tasks of their own."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shoptrack.engine.shapes.planned import Minutes, Order, Problem, Task, Worker

ByDay = Mapping[int, Minutes]

AWAY = -1
"""The stage of a task that says somebody is away."""


@dataclass(slots=True)
class _Group:
    """Workers of whom on each day one has all the hours that any of them has."""

    members: list[int]
    hours: dict[int, Minutes]


def alike(problem: Problem, until: int) -> Problem:
    """The problem with few kinds of hours: who works less than the others of a group has tasks to be away.

    Takes the minute up to which absences matter. Those tasks come after all others, in an order of their own
    after the others, each at its one minute. Empty: no workers, nothing changes.
    Method: somebody joins a group where on every day one's hours hold the other's.
    """
    own = [_by_day(worker) for worker in problem.workers]
    workers = list(problem.workers)
    away: list[Task] = []
    for group in _groups(own):
        for w in group.members:
            workers[w] = _with_hours(workers[w], group.hours)
            busy = _begun_min(problem, w)
            for start, end in _missing(own[w], group.hours):
                if start < until and _worked(workers[w], start) >= busy:
                    away.append(_absence(len(problem.orders), w, start, end))
    orders = (*problem.orders, Order("away")) if away else problem.orders
    return replace(problem, tasks=(*problem.tasks, *away), orders=orders, workers=tuple(workers))


def _groups(own: Sequence[ByDay]) -> list[_Group]:
    found: list[_Group] = []
    for n in sorted(range(len(own)), key=lambda n: -sum(b - a for day in own[n].values() for a, b in day)):
        group = next((g for g in found if _agree(g.hours, own[n])), None)
        if group is None:
            found.append(_Group([n], dict(own[n])))
            continue
        group.members.append(n)
        for day, spans in own[n].items():
            group.hours[day] = _larger(group.hours.get(day, ()), spans)
    return found


def _by_day(worker: Worker) -> ByDay:
    found: dict[int, Minutes] = {}
    for span, day in zip(worker.spans, worker.days, strict=True):
        found[day] = (*found.get(day, ()), span)
    return found


def _agree(one: ByDay, other: ByDay) -> bool:
    return all(
        _holds(spans, other[day]) or _holds(other[day], spans) for day, spans in one.items() if day in other
    )


def _holds(larger: Minutes, smaller: Minutes) -> bool:
    return all(any(a <= start and end <= b for a, b in larger) for start, end in smaller)


def _larger(one: Minutes, other: Minutes) -> Minutes:
    return one if _holds(one, other) else other


def _with_hours(worker: Worker, hours: ByDay) -> Worker:
    both = sorted((span, day) for day, spans in hours.items() for span in spans)
    return replace(worker, spans=tuple(span for span, _ in both), days=tuple(day for _, day in both))


def _missing(own: ByDay, hours: ByDay) -> Iterator[tuple[int, int]]:
    """The hours of a group that somebody of it does not have."""
    for day, spans in hours.items():
        for start, end in spans:
            at = start
            for a, b in own.get(day, ()):
                if at < a and start <= a < end:
                    yield at, a
                if start <= a < end:
                    at = b
            if at < end:
                yield at, end


def _begun_min(problem: Problem, worker: int) -> int:
    return sum(task.hands_min for task in problem.tasks if worker in (task.begun or ()))


def _worked(worker: Worker, until: int) -> int:
    return sum(min(b, until) - a for a, b in worker.spans if a < until)


def _absence(order: int, worker: int, start: int, end: int) -> Task:
    able = frozenset({worker})
    return Task(order, end - start, "away", AWAY, able=able, pause="none", earliest=start, latest=start)
