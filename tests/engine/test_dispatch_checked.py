"""Futures that take the minutes expected are plans: the checker of plans finds no rule broken in them."""

import numpy as np
import pytest

from shoptrack.engine.dispatch.future import Future
from shoptrack.engine.dispatch.presence import bits
from shoptrack.engine.dispatch.tables import Tables, tabulate
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.problem import ready_of, worth_of
from shoptrack.engine.shapes.planned import Missed, Placed, Plan, Problem
from tests.bench.shops import shop


def lived(problem: Problem, tables: Tables) -> list[Placed]:
    """Where everything came to lie; a start too late costs nothing here."""
    work = [problem.tasks[n].work for n in tables.task_at]
    future = Future(tables, work, None, len(problem.orders))
    future.live()
    placed = []
    for rank, n in enumerate(tables.task_at):
        people, start = future.crew_of[rank], future.begins[rank]
        run = tables.carried_on if tables.begun[rank] >= 0 else tables.run
        args = (rank, people, work[rank]) if tables.begun[rank] >= 0 else (rank, people, start, work[rank])
        hands_end, end = run(*args)  # type: ignore[operator]
        assert end == future.ends[rank]
        crew = tuple(sorted(tables.presence.worker_at[bit] for bit in bits(people)))
        placed.append(Placed(n, start, hands_end, end, problem.tasks[n].begun or crew))
    return sorted(placed, key=lambda each: (each.start, each.end))


def missed(problem: Problem, placed: list[Placed]) -> list[Missed]:
    at = {each.task: each for each in placed}
    found = []
    for n, task in enumerate(problem.tasks):
        if task.begun is not None:
            continue
        start = at[n].start
        if task.latest is not None and start > task.latest:
            found.append(Missed(n, n, start - task.latest))
        for a in task.after:
            if a.greatest is not None and start > at[a.task].end + a.greatest:
                found.append(Missed(n, a.task, start - at[a.task].end - a.greatest))
    return found


@pytest.mark.parametrize("seed", range(8))
def test_no_rule_is_broken(seed: int) -> None:
    """Invented shops of 5 to 20 jobs in any order of priority; only starts too late may be told of."""
    problem = shop(5 + seed % 4 * 5, seed)
    priority = np.random.default_rng(seed).permutation(len(problem.tasks)).tolist()
    placed = lived(problem, tabulate(problem, priority, 0))
    late = missed(problem, placed)
    ready = ready_of(problem, placed)
    plan = Plan(tuple(placed), worth_of(problem, ready, len(late)), ready, (), tuple(late))
    assert check(problem, plan) == ()


def test_rules_would_be_found_broken() -> None:
    """The same plan with one task begun an hour sooner is no plan."""
    problem = shop(5, 1)
    placed = lived(problem, tabulate(problem, (), 0))
    moved = next(n for n, each in enumerate(placed) if each.start > 100 and each.workers)
    one = placed[moved]
    placed[moved] = Placed(one.task, one.start - 60, one.hands_end - 60, one.end - 60, one.workers)
    ready = ready_of(problem, placed)
    late = missed(problem, placed)
    plan = Plan(tuple(placed), worth_of(problem, ready, len(late)), ready, (), tuple(late))
    assert check(problem, plan) != ()
