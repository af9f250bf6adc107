"""A problem and its placed tasks to the waits that are broken, or that are told as missed and are not."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from shoptrack.engine.shapes.planned import After, Missed, Placed, Problem

Pair = tuple[int, int]
"""A task, and the one that it comes after."""


def named(problem: Problem, task: int) -> str:
    """What a task is called in a sentence: its name, or its place where it has none.

    Takes: the task by its place. Gives: words for the beginning of a sentence or the middle of one.
    """
    name = problem.tasks[task].name
    return f"“{name}”" if name else f"Task {task}"


def waits_broken(problem: Problem, placed: Mapping[int, Placed], missed: Sequence[Missed]) -> Iterator[str]:
    """The waits that are too short, the long ones that are not told as missed, and those told falsely.

    Takes: the placed tasks by their numbers, the greatest waits that the plan says it doesn't keep; one from
    a task to itself is of its latest start. Gives: sentences. Empty: all waits are kept or told.
    Method: each wait from the end of the one to the start of the other; what is begun waits for nothing.
    """
    for number, place in placed.items():
        if problem.tasks[number].begun is None:
            for wait in problem.tasks[number].after:
                if wait.task in placed:
                    yield from _too_soon(problem, place, placed[wait.task], wait)
    found, told = _late(problem, placed), _told(missed)
    for pair in found | told:
        if found.get(pair) != told.get(pair):
            yield _misjudged(problem, pair, found.get(pair), told.get(pair))


def _too_soon(problem: Problem, place: Placed, before: Placed, wait: After) -> Iterator[str]:
    least = before.end + wait.least
    if place.start < least:
        name, other = named(problem, place.task), named(problem, before.task)
        yield f"{name} begins at {place.start}; after {other} it may not begin before {least}."


def _late(problem: Problem, placed: Mapping[int, Placed]) -> dict[Pair, list[int]]:
    """By how much a task begins too late after another, or after its latest start, where it does."""
    late: dict[Pair, list[int]] = defaultdict(list)
    for number, place in placed.items():
        task = problem.tasks[number]
        most = [
            (wait.task, placed[wait.task].end + wait.greatest)
            for wait in task.after
            if wait.greatest is not None and wait.task in placed
        ]
        if task.latest is not None:
            most.append((number, task.latest))
        for other, latest in most:
            if place.start > latest and task.begun is None:
                late[number, other].append(place.start - latest)
    return {pair: sorted(all_) for pair, all_ in late.items()}


def _told(missed: Sequence[Missed]) -> dict[Pair, list[int]]:
    told: dict[Pair, list[int]] = defaultdict(list)
    for each in missed:
        told[each.task, each.after].append(each.late_min)
    return {pair: sorted(all_) for pair, all_ in told.items()}


def _misjudged(problem: Problem, pair: Pair, found: list[int] | None, told: list[int] | None) -> str:
    """What the plan should have told of a wait."""
    name, other = named(problem, pair[0]), named(problem, pair[1])
    what = "its latest start" if pair[0] == pair[1] else other
    if found is None:
        return f"{name} is told to begin too late after {what}, and does not."
    late = " and ".join(map(str, found))
    said = "that is not told" if told is None else f"the plan says {' and '.join(map(str, told))}"
    return f"{name} begins {late} minutes too late after {what}; {said}."
