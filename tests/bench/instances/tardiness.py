"""One machine and jobs with weights and dates to instances: weighted tardiness as the OR-Library has it.

Format: numbers alone; for each instance the minutes of all jobs, then their weights, then their dates. A file
wt40.txt has 125 instances of 40 jobs.
"""

import re
from collections.abc import Sequence

from shoptrack.engine.shapes.planned import Order, Problem, Resource, Task
from tests.bench.instances.instance import Instance, Unreadable

IN_A_FILE = 125
"""So many instances are in each file of the OR-Library (J. E. Beasley 1990; from memory)."""


def one_machine(works: Sequence[int], weights: Sequence[int], dues: Sequence[int]) -> Problem:
    """Jobs for one machine, an order for each, with what a minute past its date weighs."""
    tasks = tuple(Task(n, work, f"job {n}", crew=0, uses=((0, 1),)) for n, work in enumerate(works))
    orders = tuple(
        Order(f"order {n}", due, weight, n) for n, (due, weight) in enumerate(zip(dues, weights, strict=True))
    )
    return Problem(tasks, orders, (), (Resource("machine", 1),), sum(works))


def read_tardiness(text: str, name: str) -> list[Instance]:
    """All instances in a text, numbered from 1.

    The number of jobs is the one in the name, where there is one; else the text is of 125 instances or one.
    Raises: Unreadable where the numbers don't come out even.
    """
    numbers = [int(word) for word in text.split()]
    said = re.search(r"\d+", name)
    jobs = int(said[0]) if said else len(numbers) // (3 * IN_A_FILE) or len(numbers) // 3
    if not jobs or len(numbers) % (3 * jobs):
        raise Unreadable(f"{name}: {len(numbers)} numbers are not three for each of {jobs} jobs")
    found = []
    for n in range(len(numbers) // (3 * jobs)):
        works, weights, dues = (numbers[(3 * n + k) * jobs : (3 * n + k + 1) * jobs] for k in range(3))
        found.append(Instance(f"{name}-{n + 1}", one_machine(works, weights, dues), "tardiness"))
    return found
