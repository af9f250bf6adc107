"""A problem and a plan to every rule that the plan breaks, each as one plain sentence."""

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import pairwise

from shoptrack.engine.schedule.check_hours import anybody_at_work, hours_broken
from shoptrack.engine.schedule.check_sharing import sharing_broken
from shoptrack.engine.schedule.check_waits import named, waits_broken
from shoptrack.engine.shapes.planned import Placed, Plan, Problem, Worth


def check(problem: Problem, plan: Plan) -> tuple[str, ...]:
    """Every rule of the problem that a plan breaks.

    Takes: minutes from the problem's instant. Gives: a sentence for each broken rule, with the names of its
    tasks; a task that has no name is called by its place.
    Empty: all rules are kept.
    Method: each rule by itself, as the words of ``Task`` say it, from the start and the ends that the plan
    tells; of the builders nothing but the shapes is used.
    """
    unknown = tuple(_unknown(problem, plan))
    if unknown:
        return unknown
    placed = {each.task: each for each in reversed(plan.placed)}
    anybody = anybody_at_work(problem.workers)
    return (
        *_entries_broken(problem, plan),
        *_turns_broken(problem, plan),
        *(told for each in placed.values() for told in hours_broken(problem, anybody, each)),
        *_horizon_broken(problem, placed),
        *waits_broken(problem, placed, plan.missed),
        *sharing_broken(problem, placed, anybody),
        *_worth_broken(problem, plan, placed),
    )


def _unknown(problem: Problem, plan: Plan) -> Iterator[str]:
    """Numbers that name nothing; with one of them nothing else can be looked at."""
    tasks, people = range(len(problem.tasks)), range(len(problem.workers))
    told = [place.task for place in plan.placed] + [gone.task for gone in plan.left]
    told += [number for late in plan.missed for number in (late.task, late.after)]
    yield from (f"There is no task {number}." for number in sorted({n for n in told if n not in tasks}))
    for each in plan.placed:
        for worker in each.workers:
            if worker not in people:
                yield f"{named(problem, each.task)} is given to worker {worker}, whom there is not."
    if len(plan.ready) != len(problem.orders):
        yield f"The plan says when {len(plan.ready)} orders are ready; there are {len(problem.orders)}."


def _entries_broken(problem: Problem, plan: Plan) -> Iterator[str]:
    """Each task once, placed or left; what waits for a left one is left too."""
    placed, left = Counter(p.task for p in plan.placed), Counter(gone.task for gone in plan.left)
    for number, task in enumerate(problem.tasks):
        times = placed[number] + left[number]
        if times != 1:
            yield f"{named(problem, number)} is in the plan {times} times; it must be placed or left, once."
        elif placed[number] and task.begun is None:
            yield from (
                f"{named(problem, number)} is placed, but {named(problem, wait.task)} before it is left out."
                for wait in task.after
                if left[wait.task]
            )
    for gone in plan.left:
        name = named(problem, gone.task)
        if not gone.sentence.strip():
            yield f"{name} is left out and the plan doesn't say why."
        if gone.why == "after" and not any(w.task in left for w in problem.tasks[gone.task].after):
            yield f"{name} is said to wait for one that is left out, and waits for none such."


def _turns_broken(problem: Problem, plan: Plan) -> Iterator[str]:
    """They are listed in the order of their starts."""
    for before, after in pairwise(plan.placed):
        if after.start < before.start:
            name, other = named(problem, after.task), named(problem, before.task)
            yield f"{name} is listed after {other}, which begins later."


def _horizon_broken(problem: Problem, placed: Mapping[int, Placed]) -> Iterator[str]:
    for number, each in placed.items():
        if each.end > problem.horizon and problem.tasks[number].begun is None:
            yield f"{named(problem, number)} ends at {each.end}, past the last minute, {problem.horizon}."


def _ready(problem: Problem, placed: Mapping[int, Placed]) -> list[int | None]:
    ready: list[int | None] = [None] * len(problem.orders)
    for number, each in placed.items():
        task = problem.tasks[number]
        so_far = ready[task.order]
        over = each.end + task.tail
        ready[task.order] = over if so_far is None else max(so_far, over)
    return ready


def _worth_broken(problem: Problem, plan: Plan, placed: Mapping[int, Placed]) -> Iterator[str]:
    """When each order is ready and what the plan costs, reckoned again."""
    ready = _ready(problem, placed)
    for order, found, told in zip(problem.orders, ready, plan.ready, strict=True):
        if found != told:
            yield f"“{order.name}” is ready at {found}; the plan says {told}."
    late = sum(
        order.weight * max(0, at - order.due)
        for order, at in zip(problem.orders, ready, strict=True)
        if at is not None and order.due is not None
    )
    worth = Worth(len(plan.missed), late, sum(at for at in ready if at is not None))
    if worth != plan.worth:
        yield (
            f"The plan costs {worth.missed} missed waits, {worth.late} late and {worth.flow} until ready; "
            f"it says {plan.worth.missed}, {plan.worth.late} and {plan.worth.flow}."
        )
