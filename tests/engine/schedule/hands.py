"""Small words to say a shop in: days from eight to twelve and half past twelve to half past four."""

from shoptrack.engine.shapes.planned import Order, Placed, Plan, Problem, Resource, Task, Worker

DAY = 1440
MORNING, LUNCH_OVER, CLOSING = 0, 270, 510
"""Minute 0 is eight in the morning of the first day; lunch is from 240 to 270."""


def worker(person: int, days: int = 30, name: str = "", free: tuple[int, ...] = ()) -> Worker:
    """Somebody who works every day but the ``free`` ones."""
    spans, of_day = [], []
    for day in range(days):
        if day not in free:
            spans += [(day * DAY, day * DAY + 240), (day * DAY + LUNCH_OVER, day * DAY + CLOSING)]
            of_day += [day, day]
    return Worker(person, name or f"person {person}", tuple(spans), tuple(of_day))


def problem(
    *tasks: Task,
    people: int = 1,
    orders: tuple[Order, ...] = (),
    resources: tuple[Resource, ...] = (),
    horizon: int = 30 * DAY,
    workers: tuple[Worker, ...] | None = None,
) -> Problem:
    """A problem with as many orders as its tasks speak of."""
    count = max((task.order for task in tasks), default=-1) + 1
    own = orders or tuple(Order(f"job {n}") for n in range(count))
    who = tuple(worker(n) for n in range(people)) if workers is None else workers
    return Problem(tasks, own, who, resources, horizon)


def times(plan: Plan) -> dict[int, tuple[int, int]]:
    """Start and end of each task that was placed."""
    return {each.task: (each.start, each.end) for each in plan.placed}


def at(plan: Plan, task: int) -> Placed:
    """The place of a task."""
    return next(each for each in plan.placed if each.task == task)
