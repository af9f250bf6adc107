"""A plan and a goal → by when each order is ready in every plan that is better by that goal."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.schedule.model_soonest import soonest_of
from shoptrack.engine.schedule.problem import late_min
from shoptrack.engine.shapes.planned import Plan, Problem

Goal = Literal["missed", "late", "flow"]


@dataclass(frozen=True, slots=True)
class Caps:
    """Of each order with tasks in a plan a last minute at which it is ready.

    Where ``sure``, every plan that is better by the goal keeps them, those apart whose flow is ``flow`` or
    more (None: there are none of these).
    """

    at: Mapping[int, int]
    sure: bool
    flow: int | None = None

    def hold(self, flow: int) -> bool:
        """Whether every plan with less than this flow keeps the caps, if it is better by the goal."""
        return self.sure and (self.flow is None or flow <= self.flow)


def caps_of(problem: Problem, plan: Plan, people: People, goal: Goal, slack: int) -> Caps:
    """The caps for what is better than a plan: with fewer waits missed, less late, or with less flow and as
    little late.

    Takes ``slack``: no cap is more minutes past the end of the plan.
    Method: a promised order is late by no more than it must be and than all could be beyond that. None is
    later than the flow leaves it when all others are ready at their soonest.
    """
    soonest = soonest_of(problem, plan, people)
    roomy = max((at for at in plan.ready if at is not None), default=0) + slack
    if plan.worth.missed:
        return Caps(dict.fromkeys(soonest, roomy), False)
    most = _by_date(problem, plan, soonest)
    if goal == "late":
        caps = {n: min(most.get(n, roomy), roomy) for n in soonest}
        tasks = [problem.tasks[each.task] for each in plan.placed]
        moving = {task.order for task in tasks if task.begun is None}
        return Caps(caps, all(caps[n] == most.get(n) for n in moving))
    others = {n: sum(soonest.values()) - own for n, own in soonest.items()}
    by_flow = {n: plan.worth.flow - at for n, at in others.items()}
    most = {n: min(most.get(n, at), at) for n, at in by_flow.items()}
    caps = {n: min(at, roomy) for n, at in most.items()}
    beyond = [caps[n] + others[n] for n, at in most.items() if caps[n] < at]
    return Caps(caps, True, min(beyond, default=None))


def _by_date(problem: Problem, plan: Plan, soonest: Mapping[int, int]) -> dict[int, int]:
    to_spare = plan.worth.late - late_min(problem, [soonest.get(n) for n in range(len(problem.orders))])
    return {
        n: max(order.due, soonest[n]) + to_spare // order.weight
        for n, order in enumerate(problem.orders)
        if n in soonest and order.due is not None and order.weight
    }
