"""What tasks hold – people, things, clamps until they are taken off, the air of a room → constraints."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING

from shoptrack.engine.schedule.model_tasks import At, Model
from shoptrack.engine.shapes.planned import Task

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import IntervalVar

    Items = Sequence[tuple[IntervalVar, int]]

MANY_PAIRS = 600
"""With more pairs of a dusty task and a coat than these, none of them gets a literal of its own."""

Loads = list[tuple[int, int, int]]
"""From a minute, up to a minute, so many."""


def hold_people(model: Model) -> None:
    """No more people are busy at once than there are."""
    for pool in model.people.pools:
        items = [
            (interval, model.people.draws(pool, model.problem.tasks[n], way))
            for n, spot in model.spots.items()
            for way, interval in spot.hands
        ]
        _limit(model, len(pool.members), [each for each in items if each[1]], _in_hand(model, pool.members))
    everybody = frozenset(range(len(model.problem.workers)))
    for able in (everybody, *model.people.sets) if len(model.people.groups) > 1 else ():
        _hold_together(model, able)


def _hold_together(model: Model, able: frozenset[int]) -> None:
    """Also where it is open who does what, no more is done at once than those who may can do.

    It follows from the rest, but the solver sees it too late.
    """
    items, everybody = [], frozenset(range(len(model.problem.workers)))
    for n, spot in model.spots.items():
        task = model.problem.tasks[n]
        may = everybody if task.able is None else task.able
        if spot.hands and task.work == task.hands_min and may <= able:
            items.append((spot.whole, task.crew))
    _limit(model, len(able), items, _in_hand(model, able))


def _in_hand(model: Model, members: frozenset[int]) -> Loads:
    """Until when each of them is busy with what is in hand."""
    busy: dict[int, int] = {}
    for n in model.fixed:
        placed = model.at[n]
        for w in members.intersection(placed.workers):
            busy[w] = max(busy.get(w, 0), placed.hands_end)
    return [(0, until, 1) for until in busy.values()]


def hold_things(model: Model) -> None:
    """No more of a resource is held at once than there is."""
    until = max(model.caps.values(), default=0)
    for r, resource in enumerate(model.problem.resources):
        loads = [(a, min(b, until), resource.capacity) for a, b in resource.closed if a < until]
        held = [n for n in model.spots if model.problem.tasks[n].work]
        users = [(n, amount) for n in held for amount in _amounts(model.problem.tasks[n].uses, r)]
        loads += [(model.at[n].start, model.at[n].end, amount) for n, amount in users if n in model.fixed]
        items = [(model.spots[n].whole, amount) for n, amount in users if n not in model.fixed]
        for n in model.spots:
            for amount in _amounts(model.problem.tasks[n].keeps, r):
                if n in model.fixed:
                    loads.append((model.at[n].start, _off_at(model, n, model.at), amount))
                else:
                    items.append((_kept(model, n), amount))
        _limit(model, resource.capacity, items, loads)


def hold_air(model: Model) -> None:
    """No dust in a room while a coat in it is wet."""
    tasks = model.problem.tasks
    placed = [n for n in model.spots if tasks[n].room is not None and tasks[n].work]
    wet, dusty = [n for n in placed if tasks[n].wet], [n for n in placed if tasks[n].dusty]
    if len(wet) * len(dusty) > MANY_PAIRS:
        _all_apart(model, wet, dusty)
        return
    for w, d in product(wet, dusty):
        twice = d in wet and w in dusty and w > d
        if w != d and not twice and tasks[w].room == tasks[d].room and not {w, d} <= model.fixed:
            _apart(model, w, d)


def _all_apart(model: Model, wet: list[int], dusty: list[int]) -> None:
    """The same without a literal for each pair: beside a dusty task there is room for no coat."""
    tasks = model.problem.tasks
    coats = {w: _coat(model, w) for w in wet}
    for d in dusty:
        others = [w for w in wet if w != d and tasks[w].room == tasks[d].room and not {w, d} <= model.fixed]
        items = [(coats[w], 1) for w in others if not _before(model, d, w)]
        if items:
            _limit(model, len(items), [*items, (model.spots[d].whole, len(items))], [])


def _coat(model: Model, w: int) -> "IntervalVar":
    """From the start of a coat until it is no longer wet."""
    spot, wet = model.spots[w], model.problem.tasks[w].wet
    size = model.number([(1, max(model.caps.values()) + wet)], lambda at: at[w].end + wet - at[w].start)
    model.cp.add(size == spot.end + wet - spot.start)
    return model.cp.new_interval_var(spot.start, size, spot.end + wet, "")


def _apart(model: Model, w: int, d: int) -> None:
    """A wet task and a dusty one, whose own coat may be wet too."""
    wet, dusty, tasks = model.spots[w], model.spots[d], model.problem.tasks
    after = tasks[d].wet if tasks[w].dusty else 0
    if _before(model, d, w):
        model.cp.add(dusty.end + after <= wet.start)
        return
    if _before(model, w, d):
        model.cp.add(wet.end + tasks[w].wet <= dusty.start)
        return
    first = model.either(lambda at: int(at[d].end + after <= at[w].start))
    model.cp.add(dusty.end + after <= wet.start).only_enforce_if(first)
    model.cp.add(wet.end + tasks[w].wet <= dusty.start).only_enforce_if(~first)


def _before(model: Model, one: int, other: int) -> bool:
    """Whether a task must end before another of its order begins."""
    if model.problem.tasks[one].order != model.problem.tasks[other].order:
        return False
    left, seen = [other], {other}
    while left:
        for after in model.problem.tasks[left.pop()].after:
            if after.least >= 0 and after.task not in seen and after.task in model.spots:
                if after.task == one:
                    return True
                seen.add(after.task)
                left.append(after.task)
    return False


def _amounts(held: Iterable[tuple[int, int]], resource: int) -> Iterator[int]:
    return (amount for r, amount in held if r == resource and amount)


def _kept(model: Model, n: int) -> "IntervalVar":
    """From the start of a task until somebody takes off what it keeps.

    The end may be any minute at which somebody is at work from then on: the first costs least.
    """
    spot, task = model.spots[n], model.problem.tasks[n]
    if n in model.kept:
        return model.kept[n]
    until = model.number(_off_minutes(model, task), lambda at: _off_at(model, n, at))
    most = max(b for _, b in _off_minutes(model, task))
    size = model.number([(task.work + task.off, most)], lambda at: _off_at(model, n, at) - at[n].start)
    model.cp.add(until >= spot.end + task.off)
    model.kept[n] = model.cp.new_interval_var(spot.start, size, until, "")
    return model.kept[n]


def _off_minutes(model: Model, task: Task) -> list[tuple[int, int]]:
    cap = model.caps[task.order] + task.off
    if not model.problem.workers:
        return [(0, cap)]
    hours = model.anybody
    most = next((a for a in hours.starts if a >= cap), model.problem.horizon)
    spans = [(a, b - 1) for a, b in zip(hours.starts, hours.ends, strict=True) if a <= most]
    if spans and spans[-1][1] >= cap:
        return spans
    last = max(model.problem.horizon, spans[-1][1] + 1 if spans else 0)
    return [*spans, (last, max(last, cap))]


def _off_at(model: Model, n: int, at: At) -> int:
    minute = at[n].end + model.problem.tasks[n].off
    if not model.problem.workers:
        return minute
    found = model.anybody.next(minute)
    return max(minute, model.problem.horizon) if found is None else found


def _limit(model: Model, capacity: int, items: "Items", loads: Loads) -> None:
    """No more than so many at once, besides what is taken already (be it more than there is)."""
    taken = _levels(capacity, loads)
    if sum(amount for _, amount in items) + max((k for *_, k in taken), default=0) <= capacity:
        return
    fixed = [(model.stretch(a, b), k) for a, b, k in taken]
    least = sorted(amount for _, amount in items)[:2]
    if sum(least) > capacity and all(k == capacity for _, k in fixed):
        model.cp.add_no_overlap([interval for interval, _ in [*items, *fixed]])
    else:
        every = [*items, *fixed]
        model.cp.add_cumulative([i for i, _ in every], [k for _, k in every], capacity)


def _levels(capacity: int, loads: Loads) -> Loads:
    """How much is taken over time, never more than there is."""
    changes: dict[int, int] = {}
    for start, end, amount in loads:
        if start < end:
            changes[start] = changes.get(start, 0) + amount
            changes[end] = changes.get(end, 0) - amount
    found: Loads = []
    level, since = 0, 0
    for minute in sorted(changes):
        if level:
            _add_level(found, since, minute, min(level, capacity))
        level, since = level + changes[minute], minute
    return found


def _add_level(found: Loads, start: int, end: int, amount: int) -> None:
    if found and found[-1][1] == start and found[-1][2] == amount:
        found[-1] = (found[-1][0], end, amount)
    else:
        found.append((start, end, amount))
