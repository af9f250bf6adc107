"""A problem → what of it can never be planned and why, and what a plan of the rest costs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from graphlib import CycleError, TopologicalSorter
from itertools import combinations

from shoptrack.engine.hours import Same
from shoptrack.engine.schedule.axis import Axis, hours_of
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
    return _sorted(Same(problem))[0]


def crews_of(problem: Problem, task: Task) -> tuple[tuple[int, ...], ...]:
    """Everybody who could do a task's hands together, by the workers' places. One empty crew: nobody need."""
    able = range(len(problem.workers)) if task.able is None else sorted(task.able)
    return tuple(combinations(able, task.crew if task.hands_min else 0))


def trouble(problem: Problem) -> tuple[Left, ...]:
    """The tasks that can have no place in any plan, and those that wait for one of them.

    Gives one reason for each, by number. Empty: all can be planned, or there are none.
    """
    order, ringed = _sorted(Same(problem))
    left: dict[int, Left] = {
        n: Left(n, "ring", f"{problem.tasks[n].name} waits for itself in a ring: take one wait out of it.")
        for n in ringed
    }
    axes = _Axes(problem)
    for n, task in enumerate(problem.tasks):
        if n not in left and (found := axes.amiss(task)) is not None:
            left[n] = Left(n, *found)  # type: ignore[arg-type] # the words are those of Left
    for n in order if left else ():
        lost = next((a.task for a in problem.tasks[n].after if a.task in left), None)
        if lost is not None and n not in left and problem.tasks[n].begun is None:
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


@lru_cache(maxsize=4)
def _sorted(same: Same[Problem]) -> tuple[tuple[int, ...], frozenset[int]]:
    """The tasks in order, and those in a ring, which are not among them."""
    waits = {n: [after.task for after in task.after] for n, task in enumerate(same.it.tasks)}
    try:
        return tuple(TopologicalSorter(waits).static_order()), frozenset()
    except CycleError:
        ringed = _ringed(waits)
    kept = {n: [w for w in own if w not in ringed] for n, own in waits.items() if n not in ringed}
    return tuple(TopologicalSorter(kept).static_order()), ringed


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
    """The longest that the crews of tasks are at work, worked out once for those who are alike."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._found: dict[tuple[frozenset[int] | None, int], tuple[Axis, ...]] = {}

    def amiss(self, task: Task) -> Found | None:
        """Why a task can have no place: a word, and a sentence with the way out."""
        if task.begun is not None:
            return None
        wanted = dict[int, int]()
        for resource, amount in (*task.uses, *task.keeps):
            wanted[resource] = wanted.get(resource, 0) + amount
        for resource, amount in wanted.items():
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
        axes = self._of(task)
        if not any(axis.starts for axis in axes):
            yield "hours", f"{task.name}: {_who(task)} at work in the time that is planned."
            return
        longest = max(axis.longest if task.pause == "none" else axis.longest_day for axis in axes)
        if task.pause != "any" and longest < task.hands_min:
            yield "hours", _too_long(task, longest)

    def _of(self, task: Task) -> tuple[Axis, ...]:
        """The hours of everybody who could do a task's hands together."""
        key = (task.able, task.crew)
        if key not in self._found:
            hours = hours_of(self._problem.workers)
            every = (hours.of(crew) for crew in crews_of(self._problem, task))
            self._found[key] = tuple(dict.fromkeys(every))
        return self._found[key]


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
