"""The tasks of a problem → variables of a constraint model: starts, ends, how long each lasts, by whom."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from shoptrack.engine.schedule.axis import Axis, anybody
from shoptrack.engine.schedule.model_people import People, Way
from shoptrack.engine.schedule.model_pieces import Lasts, Pieces, pieces
from shoptrack.engine.schedule.problem import in_order
from shoptrack.engine.shapes.planned import Placed, Plan, Problem, Task

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntervalVar, IntVar, LinearExpr

At = Mapping[int, Placed]
"""A plan: where each task is placed."""

Known = Callable[[At], int]
"""What a variable is in a plan."""


@dataclass(slots=True)
class Spot:
    """The variables of a task; ``hands`` are the intervals of its people by way, always there where None."""

    start: "IntVar | int"
    end: "LinearExpr | int"
    whole: "IntervalVar"
    hands: "list[tuple[Way, IntervalVar]]" = field(default_factory=list)


class Model:
    """A constraint model while it is made, and of each of its variables what it is in a plan."""

    def __init__(self, problem: Problem, plan: Plan, people: People, caps: Mapping[int, int]) -> None:
        """Take the tasks that ``plan`` places; what is begun stays where it is there, and no order is ready
        after its cap.
        """
        from ortools.sat.python import cp_model

        self.problem, self.people, self.caps = problem, people, caps
        self.at: At = {each.task: each for each in plan.placed}
        self.cp: CpModel = cp_model.CpModel()
        self.domain = cp_model.Domain.from_intervals
        self.anybody = anybody(problem.workers)
        self.known: list[tuple[IntVar, Known]] = []
        self.spots: dict[int, Spot] = {}
        self.taken: dict[int, list[tuple[Way, IntVar]]] = {}
        self.low: dict[int, int] = {}
        self.kept: dict[int, IntervalVar] = {}
        self.fixed = {n for n in self.at if problem.tasks[n].begun is not None}

    # --- variables -----------------------------------------------------------------------------------

    def number(self, stretches: Iterable[tuple[int, int]], known: Known) -> "IntVar":
        """A whole number within some stretches, both ends among them."""
        made = self.cp.new_int_var_from_domain(self.domain([list(each) for each in stretches]), "")
        self.known.append((made, known))
        return made

    def either(self, known: Known) -> "IntVar":
        """Yes (1) or no (0)."""
        made = self.cp.new_bool_var("")
        self.known.append((made, known))
        return made

    def stretch(self, start: int, end: int) -> "IntervalVar":
        """An interval that stands fast."""
        return self.cp.new_fixed_size_interval_var(start, end - start, "")

    def hint(self, at: At) -> None:
        """Tell the solver a plan of this very problem, every variable of it."""
        for variable, known in self.known:
            self.cp.add_hint(variable, known(at))

    # --- tasks ---------------------------------------------------------------------------------------

    def add_tasks(self) -> bool:
        """Make the variables of all tasks, those that go before first; False: one has no start left."""
        for n in [n for n in in_order(self.problem) if n in self.at]:
            if n in self.fixed:
                self._add_fixed(n)
            elif not self._add_task(n):
                return False
        return True

    def _add_fixed(self, n: int) -> None:
        placed = self.at[n]
        self.low[n] = placed.end
        self.spots[n] = Spot(placed.start, placed.end, self.stretch(placed.start, placed.end))

    def _add_task(self, n: int) -> bool:
        task = self.problem.tasks[n]
        known = (self.low[a.task] + a.least for a in task.after if a.task in self.low)
        low = max(0, task.earliest, *known)
        found = [(way, self._pieces(task, way, low)) for way in self.people.ways(task)]
        found = [(way, each) for way, each in found if each]
        if not found:
            return False
        self.low[n] = min(
            first + lasts[1] for _, p in found for lasts, own in p.items() for first, _ in own[:1]
        )
        if len(found) == 1 and len(found[0][1]) == 1:
            self._one_length(n, *found[0])
        else:
            self._many_lengths(n, found)
        return True

    def _pieces(self, task: Task, way: Way, low: int) -> Pieces:
        axis: Axis | None = self.people.axis(way) if way else None
        high = min(self.problem.horizon, self.caps[task.order] - task.tail)
        return pieces(task, axis, self.anybody, low, high)

    def _one_length(self, n: int, way: Way, found: Pieces) -> None:
        """It lasts equally long wherever it starts."""
        ((hands, whole), stretches) = next(iter(found.items()))
        start = self.number(stretches, lambda at: at[n].start)
        spot = Spot(start, start + whole, self.cp.new_fixed_size_interval_var(start, whole, ""))
        if way and hands:
            same = spot.whole if hands == whole else self.cp.new_fixed_size_interval_var(start, hands, "")
            spot.hands = [(way, same)]
        self.spots[n] = spot

    def _many_lengths(self, n: int, found: list[tuple[Way, Pieces]]) -> None:
        """How long it lasts is a choice of one literal for each length that it can have."""
        every = [(way, lasts, own) for way, p in found for lasts, own in p.items()]
        start = self.number(_union(own for _, _, own in every), lambda at: at[n].start)
        lengths = sorted({whole for _, (_, whole), _ in every})
        size = self.number([(s, s) for s in lengths], lambda at: at[n].end - at[n].start)
        ends = (
            min(own[0][0] + w for _, (_, w), own in every),
            max(own[-1][1] + w for _, (_, w), own in every),
        )
        end = self.number([ends], lambda at: at[n].end)
        spot = Spot(start, end, self.cp.new_interval_var(start, size, end, ""))
        self.spots[n] = spot
        taken = [(way, lasts, self._choice(n, start, way, lasts, own)) for way, lasts, own in every]
        self.cp.add_exactly_one([literal for _, _, literal in taken])
        self.cp.add(size == sum(whole * literal for _, (_, whole), literal in taken))
        if len(found) > 1:
            self.taken[n] = [(way, literal) for way, _, literal in taken]
        for way, _ in found:
            own = [(lasts, literal) for each, lasts, literal in taken if each == way]
            if way and any(hands for (hands, _), _ in own):
                spot.hands.append((way, self._hands(n, spot, own, way if len(found) > 1 else None)))

    def _choice(
        self, n: int, start: "IntVar", way: Way, lasts: Lasts, own: list[tuple[int, int]]
    ) -> "IntVar":
        literal = self.either(
            lambda at: int(
                (at[n].hands_end - at[n].start, at[n].end - at[n].start) == lasts
                and (not way or self.people.way_of(at[n].workers) == way)
            )
        )
        inside = self.domain([list(each) for each in own])
        self.cp.add_linear_expression_in_domain(start, inside).only_enforce_if(literal)
        return literal

    def _hands(self, n: int, spot: Spot, own: "list[tuple[Lasts, IntVar]]", way: Way | None) -> "IntervalVar":
        """The interval of its people, in one of several ways or in the only one."""
        if way is None and all(hands == whole for (hands, whole), _ in own):
            return spot.whole
        start = spot.start
        there = own[0][1]
        if way is not None and len(own) > 1:
            there = self.either(lambda at: int(self.people.way_of(at[n].workers) == way))
            self.cp.add(sum(literal for _, literal in own) == there)
        lengths = sorted({hands for (hands, _), _ in own})
        if len(lengths) == 1:
            if way is None:
                return self.cp.new_fixed_size_interval_var(start, lengths[0], "")
            return self.cp.new_optional_fixed_size_interval_var(start, lengths[0], there, "")
        return self._hands_of_many(n, spot, own, there if way is not None else None, lengths, way)

    def _hands_of_many(
        self,
        n: int,
        spot: Spot,
        own: "list[tuple[Lasts, IntVar]]",
        there: "IntVar | None",
        lengths: list[int],
        way: Way | None,
    ) -> "IntervalVar":
        def size_in(at: At) -> int:
            taken = way is None or self.people.way_of(at[n].workers) == way
            return at[n].hands_end - at[n].start if taken else 0

        size = self.number([(s, s) for s in ([0, *lengths] if way is not None else lengths)], size_in)
        self.cp.add(size == sum(hands * literal for (hands, _), literal in own))
        hands_end = spot.start + size
        end = self.number([(0, max(self.caps.values()))], lambda at: at[n].start + size_in(at))
        self.cp.add(end == hands_end)
        if there is None:
            return self.cp.new_interval_var(spot.start, size, end, "")
        return self.cp.new_optional_interval_var(spot.start, size, end, there, "")


def _union(many: Iterable[list[tuple[int, int]]]) -> list[tuple[int, int]]:
    whole: list[tuple[int, int]] = []
    for first, last in sorted(each for own in many for each in own):
        if whole and first <= whole[-1][1] + 1:
            whole[-1] = (whole[-1][0], max(whole[-1][1], last))
        else:
            whole.append((first, last))
    return whole
