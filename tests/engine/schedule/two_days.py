"""Two people and two days to reckon by hand: from 0 to 240 and 300 to 540, and again a day later."""

from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes.planned import Left, Order, Placed, Plan, Problem, Resource, Task, Worker, Worth
from tests.engine.schedule.minutes import reckoned

SPANS = ((0, 240), (300, 540), (1440, 1680), (1740, 1980))
ADA = Worker(7, "Ada", SPANS, (0, 0, 1, 1))
BO = Worker(8, "Bo", SPANS, (0, 0, 1, 1))
ORDER = Order("Box", due=500)


def shop(
    *tasks: Task,
    resources: tuple[Resource, ...] = (),
    workers: tuple[Worker, ...] = (ADA, BO),
    orders: tuple[Order, ...] = (ORDER,),
    horizon: int = 3000,
) -> Problem:
    return Problem(tasks, orders, workers, resources, horizon)


def place(task: int, start: int, hands_end: int, end: int, *workers: int) -> Placed:
    return Placed(task, start, hands_end, end, workers)


def planned(problem: Problem, *places: Placed, left: tuple[Left, ...] = ()) -> Plan:
    """The plan of these places; its missed waits, its readiness and its worth are the right ones."""
    return reckoned(problem, Plan(places, Worth(0, 0, 0), (), left))


def told(problem: Problem, *places: Placed) -> tuple[str, ...]:
    """What is broken by a plan of these places that tells its missed waits, readiness and worth rightly."""
    return check(problem, planned(problem, *places))
