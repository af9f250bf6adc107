"""A problem → orders of priority by simple rules of the trade, and the best plan among theirs."""

from collections.abc import Mapping, Sequence

from shoptrack.engine.schedule.bench import Bench, bench_of
from shoptrack.engine.schedule.build import decode
from shoptrack.engine.shapes.planned import Plan, Problem

NEVER = 1 << 40


def rules(problem: Problem) -> Mapping[str, tuple[int, ...]]:
    """Every rule's order of priority, by its name.

    Method: "earliest date" by promised date; "least slack" by the latest start that still keeps it, with what
    comes after at its usual pace; "most to come" by the longest way to the end; "shortest job" by what is
    left of the order. Within equals: by date, then in the order in which an order's tasks follow each other.
    """
    bench = bench_of(problem)
    return {name: _ranked(bench, keys) for name, keys in _keys(bench).items()}


def earliest_date(problem: Problem) -> Plan:
    """The plan that every shop makes by itself: what was promised first comes first."""
    return decode(bench_of(problem), rules(problem)["earliest date"])


def best_rule(problem: Problem) -> Plan:
    """The best of the plans of all rules; of equal ones that of the first."""
    bench = bench_of(problem)
    return min((decode(bench, _ranked(bench, k)) for k in _keys(bench).values()), key=lambda p: p.worth)


def _keys(bench: Bench) -> Mapping[str, Sequence[float]]:
    problem = bench.problem
    dates = [NEVER if order.due is None else order.due for order in problem.orders]
    to_come, whole = _to_come(bench), [0.0] * len(problem.orders)
    for task in problem.tasks:
        whole[task.order] += task.work
    own = [task.order for task in problem.tasks]
    return {
        "earliest date": [float(dates[o]) for o in own],
        "least slack": [dates[o] - to_come[n] for n, o in enumerate(own)],
        "most to come": [-to_come[n] for n in range(len(own))],
        "shortest job": [whole[o] / max(problem.orders[o].weight, 1) for o in own],
    }


def _ranked(bench: Bench, keys: Sequence[float]) -> tuple[int, ...]:
    orders, tasks = bench.problem.orders, bench.problem.tasks
    place = {n: at for at, n in enumerate(bench.order)}

    def rank(n: int) -> tuple[float, int, int, int]:
        due = orders[tasks[n].order].due
        return keys[n], NEVER if due is None else due, tasks[n].order, place.get(n, 0)

    return tuple(sorted(range(len(tasks)), key=rank))


def _to_come(bench: Bench) -> list[float]:
    """Of each task the longest way on the wall from its start to the end of its order, at the usual pace."""
    problem = bench.problem
    stretch = _wall_per_hour(bench)
    found = [0.0] * len(problem.tasks)
    for n in reversed(bench.order):
        task = problem.tasks[n]
        pace = stretch if task.hands_min or task.watched else 1.0
        after = [
            found[f] + max((a.least for a in problem.tasks[f].after if a.task == n), default=0)
            for f in bench.followers[n]
        ]
        found[n] = task.work * pace + max(after, default=float(task.tail))
    return found


def _wall_per_hour(bench: Bench) -> float:
    """Minutes on the wall for each at which somebody is at work."""
    axis = bench.anybody
    if not axis.starts:
        return 1.0
    whole = axis.ends[-1] - axis.starts[0]
    return whole / max(1, axis.worked(axis.starts[0], axis.ends[-1]))
