"""A problem and its placed tasks to what two of them have at once and can't: a person, a clamp, clean air."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from shoptrack.engine.schedule.check_hours import Piece
from shoptrack.engine.schedule.check_waits import named
from shoptrack.engine.shapes.planned import Minutes, Placed, Problem


@dataclass(frozen=True, slots=True)
class Hold:
    """A task has something from a minute up to a minute; ``fixed`` where it was in hand already."""

    start: int
    end: float
    task: int
    fixed: bool
    amount: int = 1


def sharing_broken(problem: Problem, placed: Mapping[int, Placed], anybody: Sequence[Piece]) -> Iterator[str]:
    """What two tasks have at once though they can't: people, resources, and a room for dust and wet coats.

    Takes: the placed tasks by their numbers, the stretches at which anybody is at work. Gives: sentences.
    Empty: nothing is shared that can't be.
    Method: for each thing, who has it in the order of time. What was in hand already shares with its like.
    """
    people, resources = _by_person(problem, placed), _by_resource(problem, placed, anybody)
    for worker, holds in people.items():
        for early, late in _meeting(holds, holds):
            names = _both(problem, early, late)
            yield f"{problem.workers[worker].name} is at {names} at the same time."
    for number, holds in resources.items():
        yield from _over_broken(problem, number, holds)
        yield from _closed_broken(problem, number, holds)
    for dusty, wet in _by_room(problem, placed).values():
        for early, late in _meeting(dusty, wet):
            yield f"One of {_both(problem, early, late)} makes dust in the room where the other is wet."


def _both(problem: Problem, one: Hold, other: Hold) -> str:
    return f"{named(problem, one.task)} and {named(problem, other.task)}"


def _by_person(problem: Problem, placed: Mapping[int, Placed]) -> dict[int, list[Hold]]:
    holds = defaultdict(list)
    for number, each in placed.items():
        fixed = problem.tasks[number].begun is not None
        for worker in dict.fromkeys(each.workers):
            holds[worker].append(Hold(each.start, each.hands_end, number, fixed))
    return holds


def _by_resource(
    problem: Problem, placed: Mapping[int, Placed], anybody: Sequence[Piece]
) -> dict[int, list[Hold]]:
    holds = defaultdict(list)
    for number, each in placed.items():
        task = problem.tasks[number]
        fixed = task.begun is not None
        for resource, amount in task.uses:
            holds[resource].append(Hold(each.start, each.end, number, fixed, amount))
        for resource, amount in task.keeps:
            until = _given_back(problem, anybody, each.end + task.off)
            holds[resource].append(Hold(each.start, until, number, fixed, amount))
    return holds


def _given_back(problem: Problem, anybody: Sequence[Piece], off: int) -> float:
    """When somebody can take the clamps off from a minute on; never, where nobody comes any more."""
    if not problem.workers:
        return off
    coming = bisect_right(anybody, off, key=lambda piece: piece.end)
    return max(anybody[coming].start, off) if coming < len(anybody) else inf


def _by_room(problem: Problem, placed: Mapping[int, Placed]) -> dict[int, tuple[list[Hold], list[Hold]]]:
    """For each room who makes dust in it, and what is wet there."""
    rooms: dict[int, tuple[list[Hold], list[Hold]]] = defaultdict(lambda: ([], []))
    for number, each in placed.items():
        task = problem.tasks[number]
        if task.room is None:
            continue
        fixed = task.begun is not None
        if task.dusty:
            rooms[task.room][0].append(Hold(each.start, each.end, number, fixed))
        if task.wet:
            rooms[task.room][1].append(Hold(each.start, each.end + task.wet, number, fixed))
    return rooms


def _meeting(ones: Sequence[Hold], others: Sequence[Hold]) -> Iterator[tuple[Hold, Hold]]:
    """The pairs of one and another that overlap, but for a task with itself and two that are fixed."""
    same = ones is others
    coming = [(hold, 0) for hold in ones] + ([] if same else [(hold, 1) for hold in others])
    coming = sorted((pair for pair in coming if pair[0].start < pair[0].end), key=lambda pair: pair[0].start)
    under_way: tuple[list[Hold], list[Hold]] = ([], [])
    for hold, side in coming:
        against = side if same else 1 - side
        under_way[against][:] = [other for other in under_way[against] if other.end > hold.start]
        for other in under_way[against]:
            if other.task != hold.task and not (other.fixed and hold.fixed):
                yield other, hold
        under_way[side].append(hold)


def _over_broken(problem: Problem, number: int, holds: Sequence[Hold]) -> Iterator[str]:
    """Where more of a resource is held than there is, unless all who hold it were in hand already."""
    changes: dict[float, list[tuple[int, Hold]]] = defaultdict(list)
    for hold in holds:
        if hold.start < hold.end and hold.amount:
            changes[hold.start].append((1, hold))
            changes[hold.end].append((-1, hold))
    resource, held = problem.resources[number], 0
    for at in sorted(changes):
        held += sum(sign * hold.amount for sign, hold in changes[at])
        chosen = sorted({hold.task for sign, hold in changes[at] if sign > 0 and not hold.fixed})
        if held > resource.capacity and chosen:
            names = " and ".join(named(problem, task) for task in chosen)
            there = f"the shop has {resource.capacity}"
            yield f"With {names}, {held} × {resource.name} are held at {at}; {there}."


def _closed_broken(problem: Problem, number: int, holds: Sequence[Hold]) -> Iterator[str]:
    closed: Minutes = problem.resources[number].closed
    for hold in holds:
        first = bisect_right(closed, hold.start, key=lambda span: span[1])
        if hold.fixed or not hold.amount or hold.start >= hold.end or first == len(closed):
            continue
        start, end = closed[first]
        if start < hold.end:
            name = named(problem, hold.task)
            yield f"{name} holds {problem.resources[number].name}, which is closed from {start} to {end}."
