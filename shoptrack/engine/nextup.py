"""A plan and a person → what they could start now, what waiting would cost, and what blocks the rest."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.problem import followers
from shoptrack.engine.shapes.planned import Placed, Plan, Problem, Task

GRACE_MIN = 15
"""What begins within so many minutes is said to begin now: the plan is thought in quarters of an hour."""
TRIED = 2
"""For each choice wanted so many tasks are tried at most: each costs two decodes."""


@dataclass(frozen=True, slots=True)
class Slip:
    """An order that gets ready later: by how many minutes, and how many of those past its promised date."""

    order: int
    ready_min: int
    late_min: int


@dataclass(frozen=True, slots=True)
class Waiting:
    """What it costs not to begin before ``until``: orders that slip, dearest first, and waits ``missed``."""

    until: int
    slips: tuple[Slip, ...] = ()
    missed: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """A task that a worker could start at ``start``; ``planned``: the plan gives it to them there.

    ``instead`` are the orders that slip where it is taken though the plan has another for them.
    """

    task: int
    start: int
    planned: bool
    waiting: Waiting
    instead: tuple[Slip, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """Why a task does not begin now, and until when: what comes before it, its cure, a resource, a person.

    ``other`` is the task, the resource or the worker, by its place; none where a day is waited for.
    """

    why: Literal["after", "cure", "resource", "person", "day"]
    until: int
    other: int | None = None


def places_of(plan: Plan) -> Mapping[int, Placed]:
    """Where each task of a plan is."""
    return {each.task: each for each in plan.placed}


def given_to(problem: Problem, plan: Plan, worker: int) -> tuple[Placed, ...]:
    """What a plan gives a worker to begin, in the order of starts; what they have in hand is left out."""
    return tuple(p for p in plan.placed if worker in p.workers and problem.tasks[p.task].begun is None)


def free_from(problem: Problem, plan: Plan, worker: int) -> int | None:
    """The first minute at which a worker is at work with nothing in hand; None: not in the time planned."""
    own = [p.hands_end for p in plan.placed if _in_hand(problem, p, worker)]
    at = max(own, default=0)
    return next((max(at, start) for start, end in problem.workers[worker].spans if end > at), None)


def choices(problem: Problem, plan: Plan, worker: int, most: int = 3) -> tuple[Choice, ...]:
    """What a worker could start as soon as they are free, best by the plan first, with what waiting costs.

    Takes a worker by their place. Gives at most ``most``. Empty: nothing can be started, or they are never
    at work. Method: what the plan gives them leads, then by the start that the plan has for it; of each, two
    plans are compared: it is begun now (first of all, by this worker), or only on their next day.
    """
    now = free_from(problem, plan, worker)
    found: list[Choice] = []
    if now is None:
        return ()
    for placed in _startable(problem, plan, worker, now)[: TRIED * most]:
        if len(found) == most:
            break
        choice = _choice(problem, plan, placed, worker, now)
        if choice is not None:
            found.append(choice)
    return tuple(found)


def waiting(problem: Problem, plan: Plan, task: int, worker: int) -> Waiting:
    """What it costs to begin a task of the plan only on the worker's next day. One decode.

    Gives no slip where nothing is lost, or where there is no next day in the time that is planned. Method:
    it comes after all that the plan begins before then, so that it takes nobody from what is due that day.
    """
    placed = places_of(plan)[task]
    until = next_day(problem, worker, placed.start)
    if until is None:
        return Waiting(placed.start)
    # of equals the task itself comes last: what begins at that minute anyway goes before it
    order = sorted(plan.placed, key=lambda p: (until, 1) if p.task == task else (p.start, 0))
    later = build(problem, [p.task for p in order], {task: until})
    if later.worth <= plan.worth:
        return Waiting(until)
    return Waiting(until, slips(problem, plan, later), max(0, later.worth.missed - plan.worth.missed))


def slips(problem: Problem, plan: Plan, other: Plan) -> tuple[Slip, ...]:
    """The orders that another plan has ready later, the dearest first: by promised dates, then by minutes."""
    found = []
    for n, (order, was, at) in enumerate(zip(problem.orders, plan.ready, other.ready, strict=True)):
        if was is None or at is None or at <= was:
            continue
        due = order.due
        late = 0 if due is None else max(0, at - due) - max(0, was - due)
        found.append(Slip(n, at - was, late))
    return tuple(sorted(found, key=lambda s: (-s.late_min * problem.orders[s.order].weight, -s.ready_min)))


def next_day(problem: Problem, worker: int, minute: int) -> int | None:
    """The first minute of a worker's next day at work after the day of a minute."""
    own = problem.workers[worker]
    begun = [day for (start, _), day in zip(own.spans, own.days, strict=True) if start <= minute]
    after = zip(own.spans, own.days, strict=True)
    return next((s for (s, _), day in after if s > minute and (not begun or day != begun[-1])), None)


def cure_min(problem: Problem, task: int) -> int:
    """Minutes that must pass by themselves after a task before its order goes on or is ready."""
    own = problem.tasks[task]
    least = [a.least for f in followers(problem)[task] for a in problem.tasks[f].after if a.task == task]
    return max([own.tail, *least, 0])


def overnight(problem: Problem, placed: Placed) -> bool:
    """Whether what must pass after a task goes on when the last person has left on the day that it ends."""
    cure = cure_min(problem, placed.task)
    spans = [(s, day) for w in problem.workers for s, day in zip(w.spans, w.days, strict=True)]
    begun = [(start, day) for (start, _), day in spans if start < placed.end]
    if not cure or not begun:
        return False
    today = max(begun)[1]
    return placed.end + cure > max(end for (_, end), day in spans if day == today)


def blocked(problem: Problem, plan: Plan, task: int) -> Block | None:
    """What a task of the plan waits for that does not begin now; None for one that does.

    Method: what is closed longest, what comes before it and its cure, whichever ends last; then a day, then
    what it needs of the shop, then people.
    """
    places = places_of(plan)
    own, placed = problem.tasks[task], places[task]
    if placed.start <= GRACE_MIN or own.begun is not None:
        return None
    gates = [(places[a.task].end + a.least, a) for a in own.after]
    gate = max(gates, key=lambda g: g[0], default=None)
    shut = max(_closed(problem, own), default=(0, 0))
    if shut[0] > max(GRACE_MIN, own.earliest, gate[0] if gate else 0):
        return Block("resource", *shut)
    if gate is not None and gate[0] > max(GRACE_MIN, own.earliest):
        return Block("cure" if gate[1].least > 0 else "after", gate[0], gate[1].task)
    if own.earliest > GRACE_MIN:
        return Block("day", own.earliest)
    short = next(_short(problem, plan, task), None)
    if short is not None:
        return Block("resource", placed.start, short)
    return Block("person", placed.start, placed.workers[0] if placed.workers else None)


def _closed(problem: Problem, task: Task) -> Iterator[tuple[int, int]]:
    """Of the resources of a task that are closed now, until when they are, and which."""
    for resource, _ in (*task.uses, *task.keeps):
        yield from ((end, resource) for start, end in problem.resources[resource].closed if start <= 0 < end)


def _in_hand(problem: Problem, placed: Placed, worker: int) -> bool:
    return problem.tasks[placed.task].begun is not None and worker in placed.workers


def _startable(problem: Problem, plan: Plan, worker: int, now: int) -> list[Placed]:
    """The tasks whose time has come when the worker is free, what the plan gives them first."""
    places = places_of(plan)
    found = []
    for placed in plan.placed:
        task = problem.tasks[placed.task]
        able = task.hands_min > 0 and (task.able is None or worker in task.able)
        come = all(places[a.task].end + a.least <= now + GRACE_MIN for a in task.after)
        if able and come and task.begun is None and task.earliest <= now + GRACE_MIN:
            found.append(placed)
    return sorted(found, key=lambda p: (worker not in p.workers, p.start, p.task))


def _choice(problem: Problem, plan: Plan, placed: Placed, worker: int, now: int) -> Choice | None:
    """One choice with both plans tried; None where it can't begin even if it comes first of all."""
    task = placed.task
    if worker in placed.workers and placed.start <= now + GRACE_MIN:
        return Choice(task, placed.start, True, waiting(problem, plan, task, worker))
    own = problem.tasks[task]
    theirs = replace(own, able=frozenset({worker})) if own.crew == 1 else own
    tasks = tuple(theirs if n == task else each for n, each in enumerate(problem.tasks))
    tried = replace(problem, tasks=tasks)
    first = build(tried, (task, *(n for n in plan.priority if n != task)), {task: now})
    start = next((p.start for p in first.placed if p.task == task), None)
    if start is None or start > now + GRACE_MIN:
        return None
    return Choice(task, start, False, waiting(tried, first, task, worker), slips(problem, plan, first))


def _short(problem: Problem, plan: Plan, task: int) -> Iterator[int]:
    """The resources of which too few are free now for a task, by their places."""
    held: dict[int, int] = {}
    for placed in plan.placed:
        own = problem.tasks[placed.task]
        if own.begun is not None or placed.start <= GRACE_MIN:
            for resource, amount in (*own.uses, *own.keeps):
                held[resource] = held.get(resource, 0) + amount
    for resource, amount in (*problem.tasks[task].uses, *problem.tasks[task].keeps):
        closed = any(start <= 0 < end for start, end in problem.resources[resource].closed)
        if closed or held.get(resource, 0) + amount > problem.resources[resource].capacity:
            yield resource
