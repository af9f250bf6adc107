"""A problem → when each order could be ready, were nothing that it needs ever taken by another."""

from shoptrack.engine.schedule.axis import Axis, anybody
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.schedule.model_pieces import ends_of
from shoptrack.engine.schedule.problem import in_order
from shoptrack.engine.shapes.planned import Plan, Problem, Task


def soonest_of(problem: Problem, plan: Plan, people: People) -> dict[int, int]:
    """When each order is ready at the soonest, with everybody at work at their hours and free.

    Takes the tasks that a plan places; what is begun ends as it does there. Gives no more for an order than
    any plan of these tasks does. Empty: the plan is.
    """
    at = {each.task: each for each in plan.placed}
    shop = anybody(problem.workers)
    ends: dict[int, int] = {}
    found: dict[int, int] = {}
    for n in (n for n in in_order(problem) if n in at):
        task = problem.tasks[n]
        low = max([task.earliest, 0, *(ends[a.task] + a.least for a in task.after if a.task in ends)])
        ends[n] = at[n].end if task.begun is not None else _soonest_end(task, people, shop, low)
        found[task.order] = max(found.get(task.order, 0), ends[n] + task.tail)
    return found


def _soonest_end(task: Task, people: People, shop: Axis, low: int) -> int:
    if not task.hands_min and not task.watched:
        return low + task.work
    hours = [people.axis(way) if way else None for way in people.ways(task)]
    return min((end for axis in hours if (end := _end(task, axis, shop, low)) is not None), default=low)


def _end(task: Task, axis: Axis | None, shop: Axis, low: int) -> int | None:
    """The end of the first start from a minute on: no later start ends before."""
    hours = axis or shop
    minute = hours.next(low)
    while minute is not None:
        found = ends_of(task, axis, shop, minute)
        if found is not None:
            return found[1]
        if task.pause == "any":
            return None
        minute = hours.stretch_after(minute)
    return None
