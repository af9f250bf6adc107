"""A model and a plan to whether the solver takes the plan for a solution, and what it says it is worth."""

from shoptrack.engine.schedule.model_tasks import Model
from shoptrack.engine.shapes.planned import Placed


def worth_in_model(model: Model) -> int | None:
    """What the plan that is hinted is worth, every variable as it is in the plan; None: it breaks a rule."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.cp_model_presolve = False
    return round(solver.objective_value) if solver.solve(model.cp) == cp_model.OPTIMAL else None


def takes(model: Model, *placed: Placed) -> bool:
    """Whether these places, by number of the task, are a solution."""
    model.cp.clear_hints()  # type: ignore[no-untyped-call] # the library has no type for it
    model.hint({each.task: each for each in placed})
    return worth_in_model(model) is not None
