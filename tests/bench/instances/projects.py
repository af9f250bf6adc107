"""A project with scarce resources to an instance: the PSPLIB files that end in .sm, one mode a job.

Format: words and stars around three tables, of the jobs that come after each job, of minutes and resources
asked, and of what there is of each resource. The first and last job are of no minutes and stay as they are.
"""

import re
from collections.abc import Sequence

from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Uses
from tests.bench.instances.instance import Instance, Unreadable

OTHER_RESOURCES = re.compile(r"(?:nonrenewable|doubly constrained)\s*:\s*[1-9]")


def read_project(text: str, name: str) -> Instance:
    """The one project in a text.

    Raises: Unreadable for jobs with several modes and for resources that are used up.
    """
    if OTHER_RESOURCES.search(text):
        raise Unreadable(f"{name}: has resources that are used up; only renewable ones can be read")
    relations = _table(text, "PRECEDENCE RELATIONS", name)
    requests = _table(text, "REQUESTS/DURATIONS", name)
    (owned,) = _table(text, "RESOURCEAVAILABILITIES", name)
    if any(row[1] != 1 for row in relations) or len(requests) != len(relations):
        raise Unreadable(f"{name}: has jobs with several modes")
    place = {row[0]: n for n, row in enumerate(relations)}
    before: list[list[After]] = [[] for _ in relations]
    for job, _, count, *later in relations:
        if len(later) != count:
            raise Unreadable(f"{name}: job {job} has not as many that come after it as it says")
        for other in later:
            before[place[other]].append(After(place[job]))
    tasks = tuple(
        Task(0, work, f"job {job}", crew=0, uses=uses(asked), after=tuple(before[place[job]]))
        for job, _, work, *asked in requests
    )
    resources = tuple(Resource(f"resource {n + 1}", there) for n, there in enumerate(owned))
    return Instance(name, Problem(tasks, (Order("project"),), (), resources, sum(row[2] for row in requests)))


def uses(asked: Sequence[int]) -> Uses:
    """What is asked of each resource, without those of which nothing is."""
    return tuple((n, amount) for n, amount in enumerate(asked) if amount)


def _table(text: str, heading: str, name: str) -> list[list[int]]:
    """The lines of numbers below a heading, up to the next stars."""
    _, found, below = text.partition(heading)
    lines = [line.split() for line in below.split("****")[0].splitlines()]
    rows = [[int(word) for word in line] for line in lines if line and all(w.isdecimal() for w in line)]
    if not found or not rows:
        raise Unreadable(f"{name}: has no table {heading}")
    return rows
