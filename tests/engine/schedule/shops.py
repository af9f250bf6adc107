"""Random numbers to small shops: nights, lunches, clamps, cures, coats, dust, machines, pins."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from hypothesis import strategies as st

from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Worker

DAY_MIN = 24 * 60
SAW, ROUTER, BENCHES, CLAMPS, BOOTH = range(5)
STEPS = ("mill", "sand", "glue", "rout", "coat", "assemble", "rest", "fit")


@dataclass(frozen=True)
class _Week:
    """The week that the days are counted from: its weekday and the minute of the day it is now."""

    weekday: int
    minute: int
    days: int

    def at(self, day: int, minute: int) -> int:
        return day * DAY_MIN + minute - self.minute


def _worker(rng: np.random.Generator, number: int, week: _Week) -> Worker:
    """From Monday to Friday with a lunch, or mornings alone; a day off, perhaps a Saturday."""
    begin, lunch, over = (
        60 * int(rng.integers(6, 9)),
        60 * int(rng.integers(11, 13)),
        15 * int(rng.integers(60, 72)),
    )
    mornings, off, saturdays = rng.random() < 0.2, int(rng.integers(0, 10)), rng.random() < 0.2
    spans, days = [], []
    for day in range(week.days):
        weekday = (week.weekday + day) % 7
        if weekday == 6 or (weekday == 5 and not saturdays) or day == off:
            continue
        for a, b in ((begin, lunch), (lunch + 30, over))[: 1 if mornings else 2]:
            start, end = max(week.at(day, a), 0), week.at(day, b)
            if end > start:
                spans.append((start, end))
                days.append(day)
    return Worker(100 + number, f"person {number}", tuple(spans), tuple(days))


def _resources(rng: np.random.Generator) -> tuple[Resource, ...]:
    def closed() -> tuple[tuple[int, int], ...]:
        start = int(rng.integers(0, 2 * DAY_MIN))
        return ((start, start + int(rng.integers(30, DAY_MIN))),) if rng.random() < 0.15 else ()

    names = ("table saw", "router", "benches", "clamps", "booth")
    most = (2, 2, 4, 7, 3)
    return tuple(
        Resource(name, int(rng.integers(1 + (name == "clamps"), high)), closed())
        for name, high in zip(names, most, strict=True)
    )


def _minutes(rng: np.random.Generator, least: int, most: int) -> int:
    return 5 * int(rng.integers(least // 5, most // 5 + 1))


def _step(rng: np.random.Generator, kind: str, name: str, order: int, owned: Sequence[Resource]) -> Task:
    """One stage of a kind."""
    task = Task(order, _minutes(rng, 15, 180), f"{kind} {name}")
    room = int(rng.integers(0, 2))
    match kind:
        case "mill":
            return replace(task, uses=((SAW, 1),), room=room, dusty=True)
        case "sand":
            return replace(task, uses=((BENCHES, 1),), room=room, dusty=True, pause="lunch")
        case "glue":
            clamps = int(rng.integers(1, owned[CLAMPS].capacity + 1))
            hands = _minutes(rng, 15, 60)
            return replace(
                task, work=hands, pause="none", keeps=((CLAMPS, clamps),), off=_minutes(rng, 30, 240)
            )
        case "rout":
            hands = _minutes(rng, 5, task.work)
            pause: Interruption = "lunch" if rng.random() < 0.5 else "any"
            return replace(
                task, uses=((ROUTER, 1),), hands=hands, watched=True, pause=pause, room=room, dusty=True
            )
        case "coat":
            coat = replace(task, work=_minutes(rng, 10, 45), pause="none", uses=((BOOTH, 1),))
            return replace(coat, room=room, wet=_minutes(rng, 30, 180))
        case "rest":
            return replace(task, work=_minutes(rng, 60, 2 * DAY_MIN), crew=0)
        case "fit":
            return replace(task, crew=int(rng.integers(0, 2)), hands=0, watched=rng.random() < 0.5)
    return replace(task, uses=((BENCHES, 1),), pause="lunch" if rng.random() < 0.5 else "any")


def _wait(rng: np.random.Generator, before: Task, task: int, after: Task) -> After:
    """What lies between two stages: nothing, a cure, a window for the next coat, now and then an overlap."""
    if before.wet:
        least = before.wet + _minutes(rng, 0, 120)
        has_window = after.wet and rng.random() < 0.7
        return After(task, least, least + _minutes(rng, 60, 900) if has_window else None)
    if before.keeps:
        return After(task, before.off + _minutes(rng, 0, 600))
    chance = rng.random()
    if chance < 0.1:
        return After(task, -_minutes(rng, 5, 30))
    return After(task, 0, _minutes(rng, 0, 600) if chance > 0.9 else None)


def _chain(
    rng: np.random.Generator, order: int, first: int, steps: int, owned: Sequence[Resource]
) -> list[Task]:
    """The stages of one order, each after one or two of those before it, or after none."""
    chain: list[Task] = []
    for n in range(int(rng.integers(1, steps + 1))):
        task = _step(rng, str(rng.choice(STEPS)), f"{order}.{n}", order, owned)
        befores = rng.permutation(n)[: int(rng.integers(1, 3))] if n and rng.random() < 0.9 else ()
        waits = tuple(_wait(rng, chain[int(b)], first + int(b), task) for b in befores)
        chain.append(replace(task, after=waits, tail=_minutes(rng, 0, 300) if rng.random() < 0.2 else 0))
    return chain


def _peopled(rng: np.random.Generator, task: Task, people: int) -> Task:
    """Who may do it, and how many it takes."""
    crew = task.crew
    if crew and people > 1 and task.hands != 0 and rng.random() < 0.2:
        crew = 2
    if not crew or rng.random() < 0.6:
        return replace(task, crew=crew)
    able = rng.permutation(people)[: int(rng.integers(crew, people + 1))]
    return replace(task, crew=crew, able=frozenset(int(w) for w in able))


def _pinned(rng: np.random.Generator, task: Task) -> Task:
    """Not before a day, or not after one; or in hand now."""
    chance = rng.random()
    if chance < 0.1:
        return replace(task, earliest=_minutes(rng, 0, 3 * DAY_MIN))
    if chance < 0.15:
        return replace(task, latest=_minutes(rng, 0, 5 * DAY_MIN))
    return task


def _begun(rng: np.random.Generator, task: Task, people: int) -> Task:
    if not task.hands_min:
        return replace(task, begun=())
    able = sorted(task.able) if task.able else list(range(people))
    return replace(task, begun=tuple(sorted(int(w) for w in rng.permutation(able)[: task.crew])))


def small_shop(
    rng: np.random.Generator, orders: int = 3, people: int = 3, steps: int = 4, begun: float = 0.15
) -> Problem:
    """A shop of so many orders, one of them perhaps without a stage, with up to ``steps`` stages each.

    Every task can be placed within the five weeks that are planned, each by itself; ``begun`` is the share of
    first stages that are in hand now. Names, minutes and waits are by chance.
    """
    week = _Week(int(rng.integers(0, 7)), 15 * int(rng.integers(0, 96)), 42)
    workers = tuple(_worker(rng, n, week) for n in range(people))
    owned = _resources(rng)
    tasks: list[Task] = []
    listed = []
    for order in range(orders):
        due = _minutes(rng, 0, 6 * DAY_MIN) if rng.random() < 0.8 else None
        listed.append(Order(f"order {order}", due, 5 if rng.random() < 0.2 else 1, 1000 + order))
        if orders > 1 and rng.random() < 0.07:
            continue
        for task in _chain(rng, order, len(tasks), steps, owned):
            settled = _pinned(rng, _peopled(rng, task, people))
            is_begun = not task.after and rng.random() < begun
            tasks.append(_begun(rng, settled, people) if is_begun else settled)
    return Problem(tuple(tasks), tuple(listed), workers, owned, horizon=35 * DAY_MIN)


def classic_shop(rng: np.random.Generator, jobs: int, machines: int, most: int = 20) -> Problem:
    """A job shop as the books have it: no people, no nights, one order for the last of all operations."""
    tasks: list[Task] = []
    for job in range(jobs):
        for n, machine in enumerate(rng.permutation(machines)):
            after = (After(len(tasks) - 1),) if n else ()
            work = int(rng.integers(1, most + 1))
            name = f"{job}.{n}"
            tasks.append(Task(0, work, name, crew=0, uses=((int(machine), 1),), after=after))
    owned = tuple(Resource(f"machine {m}", 1) for m in range(machines))
    return Problem(tuple(tasks), (Order("all"),), (), owned, horizon=sum(t.work for t in tasks) + 1)


def shops(
    orders: int = 3, people: int = 3, steps: int = 4, begun: float = 0.15
) -> st.SearchStrategy[Problem]:
    """Small shops of at most so many orders, people and stages an order."""

    def made(number: int, of_orders: int, of_people: int, of_steps: int) -> Problem:
        return small_shop(np.random.default_rng(number), of_orders, of_people, of_steps, begun)

    counts = (st.integers(1, most) for most in (orders, people, steps))
    return st.builds(made, st.integers(0, 2**32 - 1), *counts)
