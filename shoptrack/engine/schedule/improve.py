"""A plan and some seconds → a better plan by a constraint solver, and whether none is better.

Method: CP-SAT (OR-Tools) on the minutes of the wall, warm-started with the plan. What it finds is decoded by
the builder, with named people and their own hours, and counts only if it is better then.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from time import monotonic

from shoptrack.engine.schedule.bench import Bench, bench_of
from shoptrack.engine.schedule.build import decode
from shoptrack.engine.schedule.model_caps import Goal
from shoptrack.engine.schedule.model_solve import Found, Limits, solve
from shoptrack.engine.schedule.model_view import view_of
from shoptrack.engine.schedule.problem import in_order, trouble
from shoptrack.engine.shapes.planned import Plan, Problem

Tell = Callable[[Plan], None]

SHARE = 0.7
"""The part of the time left that a goal before the last may take: ours, tried on invented shops."""


def can_improve() -> bool:
    """Whether the solver is installed."""
    try:
        import ortools.sat.python.cp_model  # noqa: F401
    except ImportError:
        return False
    return True


def improve(
    problem: Problem,
    hint: Plan,
    seconds: float,
    workers: int = 1,
    tell: Tell | None = None,
    seed: int = 0,
) -> Plan:
    """The best plan found in a time, from one that keeps all rules.

    Takes seconds and threads; calls ``tell`` with each better plan. Tasks that the hint leaves out stay out.
    Gives the hint itself where nothing better was found or no solver is installed; ``proven`` where no plan
    of these tasks is worth less. With one thread and time enough the same answer each time.
    Empty: a plan without tasks comes back.
    """
    if not hint.placed or seconds <= 0 or not can_improve():
        return hint
    until = monotonic() + seconds
    run = _Improved(problem, hint, tell)
    proven = all([run.towards(goal, until, workers, seed) for goal in run.goals()])
    return run.judged(proven)


class _Improved:
    """The best plan so far."""

    def __init__(self, problem: Problem, hint: Plan, tell: Tell | None) -> None:
        self.problem, self.hint, self.best, self.tell = problem, hint, hint, tell
        self.bench = bench_of(problem)
        self.rank = {n: rank for rank, n in enumerate(in_order(problem))}
        self.soon = {a.task for t in problem.tasks for a in t.after if a.greatest is not None}
        self.view = view_of(problem, hint)

    def goals(self) -> Iterator[Goal]:
        """What is still to be had, in the order in which it counts."""
        if self.best.worth.missed:
            yield "missed"
        if self.best.worth.late:
            yield "late"
        yield "flow"

    def towards(self, goal: Goal, until: float, workers: int, seed: int) -> bool:
        """Let the solver run for a goal; whether the best plan is proven to have the least of it."""
        if self.view.plan is not self.best:
            self.view = view_of(self.problem, self.best)
        view = self.view.promised() if goal == "late" else self.view
        if goal != "flow":
            until -= (1 - SHARE) * (until - monotonic())
        limits = Limits(until, workers, seed)
        least = solve(view, goal, limits, self.take)
        reached: int = getattr(self.best.worth, goal)
        return reached == 0 or reached == least

    def take(self, found: Found) -> None:
        """Decode a solution, and keep it if it is better."""
        at = {n: start for n, start in found.starts.items() if n < len(self.problem.tasks)}
        named = sorted(at, key=lambda n: (at[n], self.rank[n]))
        priority = [*named, *(n for n in self.best.priority if n not in at)]
        soon = {n: at[n] for n in at if n in self.soon}
        bench = self._crewed(found) if self.view.exact else self.bench
        plan = decode(bench, priority, soon, "solver")
        if plan.worth.missed > self.best.worth.missed:
            plan = min(plan, decode(bench, priority, at, "solver"), key=lambda p: p.worth)
        self._keep(plan)

    def _crewed(self, found: Found) -> Bench:
        """The bench with the crews that a solution has chosen, where their hours or skills differ."""
        crews = list(self.bench.crews)
        for n, way in found.ways.items():
            crews[n] = tuple(crew for crew in crews[n] if self.view.people.way_of(crew) == way)
        return replace(self.bench, crews=tuple(crews))

    def _keep(self, plan: Plan) -> None:
        places = {each.task for each in plan.placed}
        if plan.worth < self.best.worth and places == {each.task for each in self.hint.placed}:
            self.best = plan
            if self.tell is not None:
                self.tell(plan)

    def judged(self, proven: bool) -> Plan:
        """The best plan, proven where the solver proved it and nothing more can be planned."""
        never = {each.task for each in trouble(self.problem)}
        if proven and never >= {each.task for each in self.best.left}:
            return replace(self.best, proven=True)
        return self.best
