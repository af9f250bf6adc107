"""Work by order of priority, and the minutes it takes → when all of it ends, nobody knowing what is to come.

Method: events in order of time. At each, whoever is free takes the first task that can start then (list
scheduling; Graham 1966, from memory); what has a latest start or a greatest wait goes before the rest.
Whether a task ends before the break, and how long people or clean air are worth waiting for, is judged by the
minutes that the problem expects, never by those that are drawn. A task that needs several people, or air
without dust, and lacks nothing else, keeps what is free for itself: what ranks behind it may only fill the
time until then. What was to end before a break and does not goes on past it: overtime. Begun too late a task
takes some minutes more (a coat is scuffed before the next), and the work goes on.
"""

from collections.abc import Sequence

from shoptrack.engine.dispatch.future import Future
from shoptrack.engine.dispatch.tables import Tables, tabulate
from shoptrack.engine.shapes.planned import Problem
from shoptrack.engine.shapes.promised import NEVER, Ran

REDO_MIN = 20
"""What a start too late costs: a scuff-sand before the next coat. Common practice, no source."""


def run(problem: Problem, priority: Sequence[int], work_min: Sequence[int], redo_min: int = REDO_MIN) -> Ran:
    """Work a problem off, each task taking the minutes given.

    Takes tasks by their place, the first of ``priority`` first, and minutes by task. Gives when each order is
    ready, None where that is not within the horizon. Empty: an order without tasks is ready at 0.
    """
    tables = tabulate(problem, priority, redo_min)
    ends = ends_of(tables, [work_min[n] for n in tables.task_at])
    by_task = [ends[rank] for rank in tables.rank_of]
    ready = ready_of(tables, ends)
    return Ran(tuple(_or_none(at) for at in ready), tuple(_or_none(at) for at in by_task))


def ends_of(
    tables: Tables, work_min: Sequence[int], known: Sequence[int] | None = None, given: int | None = None
) -> list[int]:
    """When each rank ends, ``NEVER`` if not within the horizon; minutes by rank too.

    ``known``: from when on each order is known. ``given``: only the first so many orders are asked about, and
    it is over when they are ready.
    """
    future = Future(tables, work_min, known, len(tables.problem.orders) if given is None else given)
    future.live()
    return future.ends


def ready_of(tables: Tables, ends: Sequence[int]) -> list[int]:
    """When each order is ready, from the ends by rank."""
    ready = [0] * len(tables.problem.orders)
    for rank, n in enumerate(tables.task_at):
        task = tables.problem.tasks[n]
        at = ends[rank] + task.tail if ends[rank] < NEVER else NEVER
        if at > ready[task.order]:
            ready[task.order] = at
    return ready


def _or_none(at: int) -> int | None:
    return at if at < NEVER else None
