"""A problem → what of it can never be planned and why, and what a plan of the rest costs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import combinations

from shoptrack.engine.schedule.axis import Axis, in_common
from shoptrack.engine.shapes.planned import Left, Placed, Problem, Task, Worth

Found = tuple[str, str]


def followers(problem: Problem) -> tuple[tuple[int, ...], ...]:
    """Of each task those that come after it."""
    found: list[list[int]] = [[] for _ in problem.tasks]
    for n, task in enumerate(problem.tasks):
        for after in task.after:
            found[after.task].append(n)
    return tuple(tuple(each) for each in found)


def in_order(problem: Problem) -> tuple[int, ...]:
    """The tasks, each after those that it comes after; those in a ring are not among them."""
    waits = {n: [after.task for after in task.after] for n, task in enumerate(problem.tasks)}
    ringed = _ringed(waits)
    kept = {n: [w for w in own if w not in ringed] for n, own in waits.items() if n not in ringed}
    return tuple(TopologicalSorter(kept).static_order())


def crews_of(problem: Problem, task: Task) -> tuple[tuple[int, ...], ...]:
    """Everybody who could do a task's hands together, by the workers' places. One empty crew: nobody need."""
    able = range(len(problem.workers)) if task.able is None else sorted(task.able)
    return tuple(combinations(able, task.crew if task.hands_min else 0))


def trouble(problem: Problem) -> tuple[Left, ...]:
    """The tasks that can have no place in any plan, and those that wait for one of them.

    Gives one reason for each, by number. Empty: all can be planned, or there are none.
    """
    waits = {n: [after.task for after in task.after] for n, task in enumerate(problem.tasks)}
    left: dict[int, Left] = {
        n: Left(n, "ring", f"{problem.tasks[n].name} waits for itself in a ring: take one wait out of it.")
        for n in _ringed(waits)
    }
    axes = _Axes(problem)
    for n, task in enumerate(problem.tasks):
        if n not in left and (found := axes.amiss(task)) is not None:
            left[n] = Left(n, *found)  # type: ignore[arg-type] # the words are those of Left
    for n in in_order(problem):
        lost = next((w for w in waits[n] if w in left), None)
        if lost is not None and n not in left:
            left[n] = Left(n, "after", f"{problem.tasks[n].name} waits for {problem.tasks[lost].name}.")
    return tuple(left[n] for n in sorted(left))


def ready_of(problem: Problem, placed: Iterable[Placed]) -> tuple[int | None, ...]:
    """When each order is ready: its last end with its tail; None: nothing of it is planned."""
    ready: list[int | None] = [None] * len(problem.orders)
    for each in placed:
        task = problem.tasks[each.task]
        before, at = ready[task.order], each.end + task.tail
        ready[task.order] = at if before is None else max(before, at)
    return tuple(ready)


def late_min(problem: Problem, ready: Sequence[int | None]) -> int:
    """Weighted minutes past the promised dates."""
    return sum(
        order.weight * max(0, at - order.due)
        for order, at in zip(problem.orders, ready, strict=True)
        if order.due is not None and at is not None
    )


def worth_of(problem: Problem, ready: Sequence[int | None], missed: int) -> Worth:
    """What a plan costs, from when each order is ready and how many waits are missed."""
    return Worth(missed, late_min(problem, ready), sum(at for at in ready if at is not None))


def _ringed(waits: Mapping[int, Sequence[int]]) -> frozenset[int]:
    """Tasks that wait for themselves, over others or not."""
    found: set[int] = set()
    while True:
        rest = {n: [w for w in own if w not in found] for n, own in waits.items() if n not in found}
        try:
            TopologicalSorter(rest).prepare()
        except CycleError as ring:
            found.update(ring.args[1])
        else:
            return frozenset(found)


class _Axes:
    """The hours of every crew, each worked out once."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._axes: dict[tuple[int, ...], Axis] = {}

    def amiss(self, task: Task) -> Found | None:
        """Why a task can have no place: a word, and a sentence with the way out."""
        if task.begun is not None:
            return None
        for resource, amount in (*task.uses, *task.keeps):
            owned = self._problem.resources[resource]
            if amount > owned.capacity:
                return "resource", _too_few(task, owned.name, amount, owned.capacity)
        if not task.hands_min and not task.watched:
            return None
        return next(self._nobody(task), None)

    def _nobody(self, task: Task) -> Iterator[Found]:
        if not any(worker.spans for worker in self._problem.workers):
            yield "people", f"{task.name}: nobody is at work in the time that is planned. Say who works when."
            return
        if not task.hands_min:
            return
        able = len(self._problem.workers) if task.able is None else len(task.able)
        if able < task.crew:
            yield ("people" if task.able is None else "able"), _too_few_people(task, able)
            return
        axes = [self._of(crew) for crew in crews_of(self._problem, task)]
        if not any(axis.starts for axis in axes):
            yield "hours", f"{task.name}: {_who(task)} at work in the time that is planned."
            return
        longest = max(axis.longest if task.pause == "none" else axis.longest_day for axis in axes)
        if task.pause != "any" and longest < task.hands_min:
            yield "hours", _too_long(task, longest)

    def _of(self, crew: tuple[int, ...]) -> Axis:
        if crew not in self._axes:
            self._axes[crew] = in_common([self._problem.workers[w] for w in crew])
        return self._axes[crew]


def _who(task: Task) -> str:
    return "those who may do it are never" if task.crew == 1 else f"no {task.crew} who may do it are ever"


def _too_few(task: Task, name: str, amount: int, owned: int) -> str:
    there = "is one" if owned == 1 else f"are {owned or 'none'}"
    return f"{task.name} wants {amount} × {name} at once; there {there}."


def _too_few_people(task: Task, able: int) -> str:
    if not able:
        return f"Nobody here may do {task.name}: say under Shop → People who does."
    return f"{task.name} wants {task.crew} people at once; {able} may do it."


def _too_long(task: Task, longest: int) -> str:
    what = "without a pause" if task.pause == "none" else "within one day"
    return (
        f"{task.name} takes {task.hands_min} min {what}; the longest that anybody has is {longest} min. "
        "Split it, let it pause, or add overtime."
    )
