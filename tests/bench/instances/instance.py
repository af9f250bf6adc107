"""What a reader gives: a problem of the planner, and which of its numbers the publication counts."""

from dataclasses import dataclass
from typing import Literal

from shoptrack.engine.shapes.planned import Plan, Problem

Aim = Literal["makespan", "tardiness"]


class Unreadable(ValueError):
    """A file that is of none of the formats, or says something that its format doesn't."""


@dataclass(frozen=True, slots=True)
class Instance:
    """A published instance as a problem; ``published`` is the best value known, None where nobody said."""

    name: str
    problem: Problem
    aim: Aim = "makespan"
    published: int | None = None

    def value(self, plan: Plan) -> int | None:
        """What the plan comes to as publications count; None: it leaves something out or misses a wait."""
        if plan.left or plan.missed:
            return None
        return plan.worth.flow if self.aim == "makespan" else plan.worth.late
