"""A problem and a plan of it → both as the solver is to see them: people apart, or alike if they are many."""

from dataclasses import dataclass, replace

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_alike import AWAY, alike
from shoptrack.engine.schedule.model_caps import Caps, Goal, caps_of
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.shapes.planned import Plan, Problem

MANY_CHOICES = 400
"""With more ways to crew all tasks together, people of about the same hours are taken as alike."""

SLACK_MIN = 7 * 1440
"""So much past the end of a plan is looked at."""


@dataclass(frozen=True, slots=True)
class View:
    """What the solver sees: a problem, and a plan of it that it starts from.

    The tasks are those of the true problem, and after them those that say who is away. ``exact``: no plan of
    the true problem is worth less than the best that is seen here.
    """

    problem: Problem
    plan: Plan
    people: People
    exact: bool

    def caps(self, goal: Goal) -> Caps:
        """By when the orders are ready in what is better than the plan."""
        return caps_of(self.problem, self.plan, self.people, goal, SLACK_MIN)

    def promised(self) -> "View":
        """The same with nothing but the promised orders, what those wait for and what is in hand."""
        tasks, orders = self.problem.tasks, self.problem.orders
        kept = {n for n, task in enumerate(tasks) if task.begun is not None or task.stage == AWAY}
        left = [n for n, task in enumerate(tasks) if orders[task.order].due is not None]
        while left:
            n = left.pop()
            kept.add(n)
            left += [after.task for after in tasks[n].after if after.task not in kept]
        placed = tuple(each for each in self.plan.placed if each.task in kept)
        return replace(self, plan=replace(self.plan, placed=placed))


def view_of(problem: Problem, plan: Plan) -> View:
    """What the solver is to see."""
    people = People(problem, apart=True)
    if people.choices() <= MANY_CHOICES:
        return View(problem, plan, people, True)
    together = People(problem, apart=False)
    if len(together.groups) == 1:
        return View(problem, plan, together, True)
    until = max((at for at in plan.ready if at is not None), default=0) + SLACK_MIN
    seen = alike(problem, until)
    away = range(len(problem.tasks), len(seen.tasks))
    found = build(seen, [*away, *plan.priority], _held_back(problem, plan))
    if {p.task for p in found.placed} - set(away) == {p.task for p in plan.placed}:
        return View(seen, found, People(seen, apart=False), False)
    return View(problem, plan, together, True)


def _held_back(problem: Problem, plan: Plan) -> dict[int, int]:
    """The starts of those that another must soon follow: any earlier, and it might come too late."""
    soon = {after.task for task in problem.tasks for after in task.after if after.greatest is not None}
    return {each.task: each.start for each in plan.placed if each.task in soon}
