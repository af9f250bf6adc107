"""A problem and a plan to whether it keeps all rules, found minute by minute: a judge of the checker."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from shoptrack.engine.shapes.planned import Missed, Placed, Plan, Problem, Task, Worth


@dataclass
class Walk:
    """How a task goes when somebody stands beside it: the minutes worked, and who would be there."""

    worked: list[int] = field(default_factory=list)
    hands_end: int = 0
    end: int = 0


class Minutes:
    """A problem with a set of minutes for each of its people."""

    def __init__(self, problem: Problem, last: int) -> None:
        self.problem = problem
        self.last = last
        self.day: list[dict[int, int]] = [
            {m: day for (a, b), day in zip(w.spans, w.days, strict=True) for m in range(a, min(b, last))}
            for w in problem.workers
        ]
        self.anybody = {m for days in self.day for m in days}

    def walk(self, task: Task, start: int, workers: Sequence[int]) -> Walk:
        """Do the work of a task one minute after the other."""
        walk, minute = Walk(), start
        hands = 0 if task.begun == () else task.hands_min
        while len(walk.worked) < hands and minute < self.last:
            if all(minute in self.day[w] for w in workers):
                walk.worked.append(minute)
            minute += 1
        walk.hands_end = minute
        while len(walk.worked) < task.work and minute < self.last:
            if not task.watched or minute in self.anybody:
                walk.worked.append(minute)
            minute += 1
        walk.end = minute
        return walk

    def days_at(self, minute: int, workers: Sequence[int]) -> set[int]:
        return {self.day[w][minute] for w in workers if minute in self.day[w]}

    def pauses_right(self, task: Task, walk: Walk, start: int, workers: Sequence[int]) -> bool:
        """Only the pauses that it may have; it begins with a minute of work."""
        hands = 0 if task.begun == () else task.hands_min
        needing = walk.worked if task.watched else walk.worked[:hands]
        if needing and needing[0] != start:
            return False
        for n in range(1, len(needing)):
            if needing[n] == needing[n - 1] + 1 or task.pause == "any":
                continue
            who = workers if n < hands else range(len(self.day))
            days = [self.days_at(needing[k], who) for k in (n - 1, n)]
            if task.pause == "none" or not days[0] & days[1]:
                return False
        return True

    def off_at(self, minute: int) -> int:
        """When somebody is there to take clamps off."""
        while self.day and minute not in self.anybody and minute < self.last:
            minute += 1
        return minute


def task_right(minutes: Minutes, placed: Placed) -> bool:
    """A task by itself: its people, its start, its minutes, its pauses."""
    task, who = minutes.problem.tasks[placed.task], placed.workers
    walk = minutes.walk(task, placed.start, who)
    if (walk.hands_end, walk.end) != (placed.hands_end, placed.end) or placed.end > minutes.problem.horizon:
        return False
    if task.begun is not None:
        return placed.start == 0 and sorted(who) == sorted(task.begun)
    crew = task.crew if task.hands_min else 0
    if len(set(who)) != crew or len(who) != crew or not set(who) <= (task.able or set(who)):
        return False
    early = placed.start < task.earliest or placed.start < 0
    return not early and minutes.pauses_right(task, walk, placed.start, who)


def shared_right(minutes: Minutes, placed: Sequence[Placed]) -> bool:
    """At each minute: each person at one thing, no resource over, none closed, no dust where it is wet."""
    problem = minutes.problem
    person: dict[tuple[int, int], list[int]] = defaultdict(list)
    used: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    dust: dict[tuple[int, int], set[int]] = defaultdict(set)
    wet: dict[tuple[int, int], set[int]] = defaultdict(set)
    for each in placed:
        task = problem.tasks[each.task]
        for m in range(each.start, each.hands_end):
            for w in each.workers:
                person[w, m].append(each.task)
        for end, held in ((each.end, task.uses), (minutes.off_at(each.end + task.off), task.keeps)):
            for resource, amount in held:
                for m in range(each.start, end):
                    used[resource, m].append((each.task, amount))
        if task.room is not None:
            for m in range(each.start, each.end if task.dusty else each.start):
                dust[task.room, m].add(each.task)
            for m in range(each.start, each.end + task.wet if task.wet else each.start):
                wet[task.room, m].add(each.task)

    def chosen(tasks: set[int]) -> bool:
        return any(problem.tasks[t].begun is None for t in tasks)

    for (r, m), held in used.items():
        resource = problem.resources[r]
        there = 0 if any(a <= m < b for a, b in resource.closed) else resource.capacity
        if sum(amount for _, amount in held) > there and chosen({task for task, _ in held}):
            return False
    crowded = (set(at) for at in person.values() if len(at) > 1)
    dirty = ({d, w} for at in dust.keys() & wet.keys() for d in dust[at] for w in wet[at] if d != w)
    return not any(chosen(tasks) for tasks in (*crowded, *dirty))


def misses(problem: Problem, placed: Sequence[Placed]) -> Iterator[Missed]:
    """The greatest waits and latest starts that are not kept."""
    at = {each.task: each for each in placed}
    for each in placed:
        task = problem.tasks[each.task]
        if task.begun is not None:
            continue
        if task.latest is not None and each.start > task.latest:
            yield Missed(each.task, each.task, each.start - task.latest)
        for wait in task.after:
            if wait.greatest is not None and wait.task in at:
                over = each.start - at[wait.task].end - wait.greatest
                if over > 0:
                    yield Missed(each.task, wait.task, over)


def waits_right(problem: Problem, plan: Plan) -> bool:
    at = {each.task: each for each in plan.placed}
    left = {gone.task for gone in plan.left}
    for each in plan.placed:
        for wait in problem.tasks[each.task].after if problem.tasks[each.task].begun is None else ():
            if wait.task in left or each.start < at[wait.task].end + wait.least:
                return False
    told = sorted((m.task, m.after, m.late_min) for m in plan.missed)
    return told == sorted((m.task, m.after, m.late_min) for m in misses(problem, plan.placed))


def reckoned(problem: Problem, plan: Plan) -> Plan:
    """The same places in order, with the waits they miss, when each order is ready and what that costs."""
    placed = sorted(plan.placed, key=lambda each: each.start)
    missed = tuple(misses(problem, placed))
    ready: list[int | None] = []
    late = flow = 0
    for number, order in enumerate(problem.orders):
        tasks = [(each, problem.tasks[each.task]) for each in placed]
        ends = [each.end + task.tail for each, task in tasks if task.order == number]
        ready.append(max(ends) if ends else None)
        flow += max(ends) if ends else 0
        if ends and order.due is not None and max(ends) > order.due:
            late += order.weight * (max(ends) - order.due)
    worth = Worth(len(missed), late, flow)
    return replace(plan, placed=tuple(placed), missed=missed, ready=tuple(ready), worth=worth)


def is_kept(minutes: Minutes, plan: Plan) -> bool:
    """Whether a plan that names each task once, and gives people that exist, breaks no rule."""
    problem = minutes.problem
    same = reckoned(problem, plan)
    return (
        (same.ready, same.worth) == (plan.ready, plan.worth)
        and all(task_right(minutes, each) for each in plan.placed)
        and waits_right(problem, plan)
        and shared_right(minutes, plan.placed)
    )
