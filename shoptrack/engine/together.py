"""Stages that could share one set-up → what doing them together saves and which dates it moves, by trying."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import After, Plan, Problem, Task, Uses


@dataclass(frozen=True, slots=True)
class Together:
    """Tasks done as one: minutes of hands saved, and of each order how much later it is ready (less: sooner).

    ``late_min`` is by how much the weighted lateness grows. ``start`` is when they begin.
    """

    tasks: tuple[int, ...]
    saved_min: int
    start: int
    later_min: tuple[int, ...]
    late_min: int

    @property
    def moves_no_date(self) -> bool:
        """Whether no promise suffers."""
        return self.late_min <= 0


def try_together(
    problem: Problem, plan: Plan, tasks: Sequence[int], setups: Sequence[int]
) -> Together | None:
    """What doing tasks together comes to.

    Takes tasks of one kind that wait for none of each other, and the set-up minutes that each has in its
    work; together they have the longest set-up once. Gives the better of beginning with the first of them in
    the plan's order and with the last; None where that has no place, or saves nothing.
    """
    saved = sum(setups) - max(setups, default=0)
    known = {each.task for each in plan.placed}
    if len(tasks) < 2 or saved <= 0 or not known.issuperset(tasks):
        return None
    joined = join(problem, tasks, saved)
    order = plan.priority
    where = sorted(order.index(n) for n in tasks)
    tries = []
    for at in (where[0], where[-1]):
        rest = [n for n in order[: at + 1] if n not in tasks]
        moved = (*rest, *tasks, *(n for n in order[at + 1 :] if n not in tasks))
        tries.append(build(joined, moved))
    best = min(tries, key=lambda made: made.worth)
    starts = {each.task: each.start for each in best.placed}
    if tasks[0] not in starts or len(best.placed) < len(plan.placed) or best.worth.missed > plan.worth.missed:
        return None
    return Together(
        tuple(tasks),
        saved,
        starts[tasks[0]],
        tuple(_later(a, b) for a, b in zip(plan.ready, best.ready, strict=True)),
        best.worth.late - plan.worth.late,
    )


def join(problem: Problem, tasks: Sequence[int], saved_min: int) -> Problem:
    """The problem with tasks done as one, the first of them, in so many minutes less.

    Method: the first has all their work, waits and clamps; the others have no work of their own left and come
    right after it, so that what follows each of them still does.
    """
    first, *others = tasks
    own = [problem.tasks[n] for n in tasks]
    whole = _whole(own, saved_min)
    # what the others waited for, the first waits for now; never for one of themselves
    waits = {a.task: a for task in own for a in task.after if a.task not in tasks}
    made = list(problem.tasks)
    made[first] = replace(whole, after=tuple(waits.values()))
    for n in others:
        made[n] = replace(
            problem.tasks[n],
            work=0,
            crew=0,
            hands=None,
            watched=False,
            uses=(),
            keeps=(),
            after=(After(first),),
            earliest=0,
            latest=None,
            room=None,
            wet=0,
        )
    return replace(problem, tasks=tuple(made))


def _whole(own: Sequence[Task], saved_min: int) -> Task:
    first = own[0]
    hands = sum(task.hands_min for task in own) - saved_min
    ables = [task.able for task in own if task.able is not None]
    lasts = [task.latest for task in own if task.latest is not None]
    return replace(
        first,
        work=sum(task.work for task in own) - saved_min,
        hands=None if first.hands is None else max(1, hands),
        crew=max(task.crew for task in own),
        able=frozenset.intersection(*ables) if ables else None,
        uses=_most(task.uses for task in own),
        keeps=_sum(task.keeps for task in own),
        off=max(task.off for task in own),
        earliest=max(task.earliest for task in own),
        latest=min(lasts) if lasts else None,
        dusty=any(task.dusty for task in own),
        wet=max(task.wet for task in own),
    )


def _most(uses: Iterable[Uses]) -> Uses:
    found: dict[int, int] = {}
    for each in uses:
        for resource, amount in each:
            found[resource] = max(found.get(resource, 0), amount)
    return tuple(found.items())


def _sum(uses: Iterable[Uses]) -> Uses:
    found: dict[int, int] = {}
    for each in uses:
        for resource, amount in each:
            found[resource] = found.get(resource, 0) + amount
    return tuple(found.items())


def _later(before: int | None, after: int | None) -> int:
    return 0 if before is None or after is None else after - before
