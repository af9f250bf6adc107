"""A problem and its plan made by hand → the plan that is shown for a shop."""

from dataclasses import replace

from shoptrack.engine.shapes.planned import Plan, Problem
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight


def planned_by_hand(sight: Sight, problem: Problem, plan: Plan) -> Planned:
    """The plan as if it had been found for this shop."""
    laid = replace(lay(sight), problem=problem)
    return Planned(laid, plan, sight.now, 1, sight.head)
