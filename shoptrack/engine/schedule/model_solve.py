"""A view of a problem and a goal → what the solver finds in a time, and whether there is no better."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING

from shoptrack.engine.schedule.model_caps import Goal
from shoptrack.engine.schedule.model_goals import add_goals
from shoptrack.engine.schedule.model_holds import hold_air, hold_people, hold_things
from shoptrack.engine.schedule.model_people import Way
from shoptrack.engine.schedule.model_tasks import Model
from shoptrack.engine.schedule.model_view import View

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpSolver, CpSolverSolutionCallback


@dataclass(frozen=True, slots=True)
class Found:
    """A solution: when each task begins, and of which groups its people are, where there is a choice."""

    starts: Mapping[int, int]
    ways: Mapping[int, Way]


@dataclass(frozen=True, slots=True)
class Limits:
    """Until which second of the ``monotonic`` clock the solver may run, on how many threads."""

    until: float
    workers: int
    seed: int


def solve(view: View, goal: Goal, limits: Limits, found: Callable[[Found], None]) -> int | None:
    """Look for what is better than the plan of a view by a goal, and no worse by those before it.

    Calls ``found`` with each better solution. Gives the least there is of the goal, None where that was not
    proven for the whole of the true problem.
    """
    from ortools.sat.python import cp_model

    model = laid(view, goal)
    if model is None:
        return None
    solver = cp_model.CpSolver()
    _set(solver, limits, presolve=not view.problem.workers)
    if solver.solve(model.cp, _watch(model, found)) != cp_model.OPTIMAL:
        return None
    least = round(solver.objective_value)
    caps = view.caps(goal)
    return least if view.exact and (caps.hold(least) if goal == "flow" else caps.sure) else None


def laid(view: View, goal: Goal) -> Model | None:
    """The model to be solved, hinted with the plan of the view; None: a task has no start left in it."""
    model = Model(view.problem, view.plan, view.people, view.caps(goal).at)
    if not model.add_tasks():
        return None
    hold_people(model)
    hold_things(model)
    hold_air(model)
    goals = add_goals(model, view.plan)
    if goal != "missed":
        model.cp.add(goals.missed <= view.plan.worth.missed)
    if goal == "flow":
        model.cp.add(goals.late <= view.plan.worth.late)
    model.cp.minimize({"missed": goals.missed, "late": goals.late, "flow": goals.flow}[goal])
    model.hint(model.at)
    return model


def _set(solver: "CpSolver", limits: Limits, presolve: bool) -> None:
    # Where lengths are a choice it takes 4 to 15 s of a large shop and gains nothing; and in 9.15 it ends the
    # process for some of the smallest, over a solution of its own that it finds to be none.
    solver.parameters.cp_model_presolve = presolve
    solver.parameters.num_workers = limits.workers
    solver.parameters.interleave_search = limits.workers == 1  # else one worker has no neighbourhood search
    solver.parameters.random_seed = limits.seed
    solver.parameters.max_time_in_seconds = max(0.01, limits.until - monotonic())


def _watch(model: Model, found: Callable[[Found], None]) -> "CpSolverSolutionCallback":
    from ortools.sat.python import cp_model

    class Watch(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            starts = {n: self.value(spot.start) for n, spot in model.spots.items()}
            ways = {
                n: way for n, taken in model.taken.items() for way, yes in taken if self.boolean_value(yes)
            }
            found(Found(starts, ways))

    return Watch()
