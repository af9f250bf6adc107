"""A seed → an invented shop with so many open jobs, as a problem for the planner."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

import numpy as np

from shoptrack.engine.schedule.axis import Axis
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Uses, Worker

Load = Literal["keepable", "overloaded"]
DAY = 1440
HORIZON = 365 * DAY
MIDNIGHT = -450
"""The midnight before minute 0, which is a Wednesday at half past seven."""
NAMES = ("Ada", "Ben", "Cleo", "Dan", "Eve", "Finn")
PLANER, SAW, ROUTER, SANDER, BENCH, BOOTH, SHORT, MIDDLE, LONG, RACK = range(10)
MACHINES, FINISHING = 0, 1
"""The rooms: where it is always dusty, and where coats dry."""
FULL, PART = ((450, 720), (750, 960)), ((450, 720),)
"""Hours of a day, from midnight."""
SHARE_OF_TIME = {"keepable": 1.0, "overloaded": 0.6}
"""Of the time that a job needs at an easy pace, so much is left until its date."""
PACE = 1.15
"""The easy pace: what is before a job takes so many times what it would, were everybody always busy."""
MUST_KEEP = 5


@dataclass(frozen=True, slots=True)
class Crew:
    """The people, and which of them may coat and run the router."""

    workers: tuple[Worker, ...]
    coaters: frozenset[int]
    routers: frozenset[int]


@dataclass(frozen=True, slots=True)
class Step:
    """A stage of a job before it has a number; ``least`` and ``greatest`` wait after the one before."""

    task: Task
    least: int = 0
    greatest: int | None = None


def shop(jobs: int, seed: int, load: Load = "keepable") -> Problem:
    """A shop of 3 to 6 people with so many open jobs of about 12 stages, some in hand."""
    rng = np.random.default_rng((seed, jobs))
    crew = _crew(rng)
    stock = _resources(len(crew.workers), rng)
    works = [_started(_steps(crew, rng), rng) for _ in range(jobs)]
    works = _in_hand(works, crew, stock, rng)
    tasks = tuple(_numbered(works))
    orders = _orders(works, crew, SHARE_OF_TIME[load], rng)
    return Problem(tasks, orders, crew.workers, stock, HORIZON)


# --- people and things -------------------------------------------------------------------------------


def _crew(rng: np.random.Generator) -> Crew:
    count = int(rng.integers(3, 7))
    holiday = int(rng.choice([6, 8, 9, 13, 15, 20]))
    first = int(rng.integers(1, 15))
    away = range(first, first + int(rng.integers(2, 6)))
    part = int(rng.integers(1, count))
    workers = tuple(
        _worker(n, n == part, {holiday} | (set(away) if n == count - 1 else set())) for n in range(count)
    )
    return Crew(workers, frozenset({0, part, count - 1}), frozenset(range(count)) - {part})


def _worker(number: int, part_time: bool, off: set[int]) -> Worker:
    spans, days = [], []
    for day in range(HORIZON // DAY):
        weekday = (day + 2) % 7
        if weekday >= 5 or day in off:
            continue
        short = part_time and weekday in (0, 4)
        for start, end in PART if short else FULL:
            spans.append((MIDNIGHT + day * DAY + start, MIDNIGHT + day * DAY + end))
            days.append(day)
    return Worker(number, NAMES[number], tuple(spans), tuple(days))


def _resources(people: int, rng: np.random.Generator) -> tuple[Resource, ...]:
    away = int(rng.integers(2, 12)) * DAY
    long, middle, short = 4 + people // 2, 6 + people, 8 + people
    return (
        Resource("planer", 1),
        Resource("saw", 1),
        Resource("router", 1, ((away, away + 2 * DAY),)),
        Resource("sander", 1),
        Resource("bench", people),
        Resource("booth", 1 if people < 5 else 2),
        Resource("clamps of 24 inches or longer", long + middle + short),
        Resource("clamps of 36 inches or longer", long + middle),
        Resource("clamps of 50 inches or longer", long),
        Resource("places on the drying rack", 4 + people),
    )


def _clamps(reach: int, count: int) -> Uses:
    """A clamp of a reach is also one of those of each shorter reach or longer."""
    return tuple((n, count) for n in range(SHORT, reach + 1))


# --- the work of a job -------------------------------------------------------------------------------


def _steps(crew: Crew, rng: np.random.Generator) -> list[Step]:
    big = bool(rng.random() < 0.35)
    scale = float(rng.uniform(0.7, 1.8 if big else 1.2))

    def some(least: int, most: int) -> int:
        return max(5, round(rng.uniform(least, most) * scale / 5) * 5)

    hands = 2 if big else 1
    steps = [
        Step(Task(0, some(40, 120), "mill", uses=((PLANER, 1),), room=MACHINES, dusty=True)),
        Step(Task(0, some(30, 90), "saw", crew=hands, uses=((SAW, 1),), room=MACHINES, dusty=True)),
        *_routed(crew, some(15, 30), some(40, 100)),
        Step(Task(0, some(45, 150), "joints", uses=((BENCH, 1),))),
        *_glued("panels", hands, some(20, 40), int(rng.integers(SHORT, LONG + 1)), rng),
        Step(Task(0, some(20, 60), "flatten", uses=((SANDER, 1),), room=MACHINES, dusty=True)),
        *_glued("assembly", hands, some(25, 50), MIDDLE if big else SHORT, rng),
        Step(Task(0, some(40, 120), "fit", uses=((BENCH, 1),))),
        Step(Task(0, some(30, 100), "sand", uses=((BENCH, 1),), room=FINISHING, dusty=True, pause="lunch")),
        *_coated(crew, some(15, 30), rng),
        Step(Task(0, int(rng.integers(1, 5)) * DAY, "harden", crew=0, pause="none")),
        Step(Task(0, some(20, 60), "rub out and pack", crew=hands, uses=((BENCH, 1),))),
    ]
    skipped = {"router"} if rng.random() < 0.4 else set()
    skipped |= {"panels", "flatten"} if rng.random() < 0.3 else set()
    return [step for step in steps if step.task.name not in skipped]


def _routed(crew: Crew, setup: int, run: int) -> Iterator[Step]:
    task = Task(0, setup + run, "router", hands=setup, watched=True, able=crew.routers, pause="lunch")
    yield Step(replace(task, uses=((ROUTER, 1),), room=MACHINES, dusty=True))


def _glued(name: str, hands: int, work: int, reach: int, rng: np.random.Generator) -> Iterator[Step]:
    count, off = int(rng.integers(3, 6)), int(rng.choice([45, 60, 120, 240]))
    yield Step(
        Task(
            0, work, name, crew=hands, pause="none", uses=((BENCH, 1),), keeps=_clamps(reach, count), off=off
        )
    )


def _coated(crew: Crew, work: int, rng: np.random.Generator) -> Iterator[Step]:
    wet, least = int(rng.choice([30, 45, 60])), int(rng.choice([120, 180, 240]))
    greatest = int(rng.choice([1, 2, 4])) * DAY
    task = Task(0, work, "coat", able=crew.coaters, pause="none", uses=((BOOTH, 1),), off=least)
    task = replace(task, keeps=((RACK, 1),), room=FINISHING, wet=wet)
    for part in range(3):
        yield Step(replace(task, part=part), least if part else 0, greatest if part else None)


# --- where the jobs stand ----------------------------------------------------------------------------


def _started(steps: list[Step], rng: np.random.Generator) -> list[Step]:
    """A third of the jobs have some stages behind them; the last of those may not be dry yet."""
    done = int(rng.integers(0, len(steps) - 2)) if rng.random() < 0.35 else 0
    if done == 0:
        return steps
    last, first = steps[done - 1].task, steps[done]
    wait = int(rng.integers(0, last.off + 1))
    latest = None if first.greatest is None else wait + first.greatest - last.off
    rest = [Step(replace(first.task, earliest=wait, latest=latest)), *steps[done + 1 :]]
    if wait == 0:
        return rest
    cure = Task(0, wait, f"{last.name} cures", crew=0, pause="none", keeps=last.keeps, begun=())
    return [Step(cure), *rest]


def _in_hand(
    works: list[list[Step]], crew: Crew, stock: Sequence[Resource], rng: np.random.Generator
) -> list[list[Step]]:
    """Everybody who is here has begun something, as far as there is room; what cures does so by itself."""
    people = [n for n, w in enumerate(crew.workers) if w.spans[0][0] == 0]
    free = [resource.capacity for resource in stock]
    found = []
    for steps in works:
        task, others = steps[0].task, steps[1:]
        hands = tuple(n for n in people if task.able is None or n in task.able)[: task.crew]
        fits = _take(free, task) if task.begun is not None or _may_be_begun(task, hands, rng) else False
        if task.begun is not None:
            found.append(steps if fits else others)
            continue
        people = [n for n in people if not (fits and n in hands)]
        found.append([Step(_begun(task, hands, rng)), *others] if fits else steps)
    return found


def _may_be_begun(task: Task, hands: Sequence[int], rng: np.random.Generator) -> bool:
    return len(hands) == task.crew and task.earliest == 0 and not task.wet and rng.random() < 0.8


def _take(free: list[int], task: Task) -> bool:
    """Take what a task holds, if there is enough of it."""
    held = (*task.uses, *task.keeps)
    if any(free[thing] < count for thing, count in held):
        return False
    for thing, count in held:
        free[thing] -= count
    return True


def _begun(task: Task, hands: tuple[int, ...], rng: np.random.Generator) -> Task:
    left = max(5, round(task.work * rng.uniform(0.2, 0.9) / 5) * 5)
    return replace(task, work=left, hands=None if task.hands is None else min(task.hands, left), begun=hands)


def _numbered(works: Sequence[list[Step]]) -> Iterator[Task]:
    """Each after the one before it in its job; after a glue-up, after its cure."""
    number = 0
    for job, steps in enumerate(works):
        for place, step in enumerate(steps):
            before = steps[place - 1].task
            least = max(step.least, before.off) if place else 0
            after = (After(number - 1, least, step.greatest),) if place else ()
            yield replace(step.task, order=job, stage=number, after=after)
            number += 1


# --- dates -------------------------------------------------------------------------------------------


def _orders(
    works: Sequence[list[Step]], crew: Crew, share: float, rng: np.random.Generator
) -> tuple[Order, ...]:
    """Dates in a drawn order of the jobs: the work before them done, then at leisure through their own."""
    line = [int(n) for n in rng.permutation(len(works))]
    busy = accumulate((_hands(works[n]) for n in line), initial=0)
    supply = _supply(crew)
    due = {n: _at_leisure(works[n], _when(supply, b * PACE), crew) for n, b in zip(line, busy, strict=False)}
    kind = rng.random(len(works))
    return tuple(
        Order(
            f"Job {n + 1}",
            None if kind[n] < 0.15 else _evening(round(share * due[n])),
            MUST_KEEP if kind[n] > 0.85 else 1,
            n + 1,
        )
        for n in range(len(works))
    )


def _hands(steps: Sequence[Step]) -> int:
    return sum(step.task.hands_min * step.task.crew for step in steps)


def _at_leisure(steps: Sequence[Step], start: int, crew: Crew) -> int:
    """When a job would be ready that one person works on from a minute on, a coat a day."""
    axis = Axis(crew.workers[0].spans, crew.workers[0].days)
    at = start
    for step in steps:
        work = step.task.work
        if step.task.crew == 0:
            at = max(at, step.task.earliest) + work
            continue
        at = max(at, step.task.earliest) + max(step.least, step.task.off)
        found = axis.earliest(at, work, step.task.pause)
        at = found[1] if found else HORIZON
        at = _evening(at) if step.greatest is not None else at
    return at


def _supply(crew: Crew) -> tuple[list[int], list[int]]:
    """Evenings, and the person-minutes that have been at work by each."""
    days: dict[int, int] = {}
    for worker in crew.workers:
        for (start, end), day in zip(worker.spans, worker.days, strict=True):
            days[day] = days.get(day, 0) + end - start
    known = sorted(days)
    return [MIDNIGHT + d * DAY + 960 for d in known], list(accumulate(days[d] for d in known))


def _when(supply: tuple[list[int], list[int]], minutes: float) -> int:
    """The minute at which so many person-minutes have been worked."""
    return int(np.interp(minutes, [0, *supply[1]], [0, *supply[0]]))


def _evening(minute: int) -> int:
    """The end of the day's work on the day of a minute, of Friday for a weekend."""
    day = (minute - MIDNIGHT) // DAY
    return MIDNIGHT + (day - max((day + 2) % 7 - 4, 0)) * DAY + 960
