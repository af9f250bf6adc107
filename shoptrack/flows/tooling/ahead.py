"""The plan → what each tool is to cut: effective hours by day and job, and the stages that take them."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import exp

from shoptrack.engine.shapes import Stage, World, in_force
from shoptrack.engine.shapes.planned import Minutes, Placed, Plan, Problem, Worker
from shoptrack.flows.planning.laid import Laid

USUAL_WEAR = 1.0
"""How hard on an edge a stage is of which nobody said what is cut."""

Days = tuple[tuple[int, int, int], ...]
"""Stretches at work, in order: from a minute, up to a minute, on which day, counted from today."""


@dataclass(frozen=True, slots=True)
class ToCut:
    """What a tool is to cut of one stage on one day of the plan, counted from today.

    It begins at a ``minute`` of the plan's. ``effective_h`` are hours of the shop's usual wood.
    """

    tool: int
    stage: int
    job: int
    day: int
    minute: int
    effective_h: float


def wear_of(world: World, stage: Stage, now: datetime) -> float:
    """How hard what a stage cuts is on an edge; 1 is the shop's usual wood, taken where nothing is said."""
    said = () if stage.material is None else world.wears.get(stage.material, ())
    return in_force(said, now) if said else USUAL_WEAR


def to_cut(world: World, laid: Laid, plan: Plan) -> Mapping[int, tuple[ToCut, ...]]:
    """All that each tool is to cut, in the order in which the plan has it.

    Takes a plan of a problem and the world that the problem was laid out from. Empty: nothing planned uses a
    tool. Method: of a watched stage the machine's minutes, else those at which its people are at it together;
    times the tool's share of them, times the wear of the material today. Of stages that somebody does
    together each has its part of the minutes, as it is foretold.
    """
    hours = _Hours(laid.problem)
    found: dict[int, list[ToCut]] = defaultdict(list)
    for placed in plan.placed:
        task = laid.problem.tasks[placed.task]
        stage = world.stages.get(task.stage)
        if stage is None or not stage.tools or not task.work:
            continue
        wear = wear_of(world, stage, laid.start_at) * _part_of(laid, placed.task, stage.id)
        for day, (minute, minutes) in hours.by_day(stage, placed).items():
            for tool, share in stage.cutting:
                cut = minutes * share * wear / 60.0
                found[tool].append(ToCut(tool, stage.id, stage.job, day, minute, cut))
    return {tool: tuple(sorted(own, key=lambda c: c.minute)) for tool, own in found.items()}


def _part_of(laid: Laid, task: int, stage: int) -> float:
    """Which part of a task's minutes is a stage's own; all of them where nothing of it is drawn."""
    own = total = 0.0
    for share in laid.parts[task]:
        draw = laid.draws[share.draw]
        left_min = max(exp(draw.part.foretold.loc) - draw.part.spent_min, 1.0) * share.share
        total += left_min
        own += left_min if draw.stage == stage else 0.0
    return own / total if total else 1.0


def by_day_and_job(cuts: Iterable[ToCut]) -> Mapping[tuple[int, int], float]:
    """The effective hours of one tool on each day for each job."""
    found: dict[tuple[int, int], float] = defaultdict(float)
    for cut in cuts:
        found[cut.day, cut.job] += cut.effective_h
    return dict(found)


class _Hours:
    """Whose minutes count of a task: a worker's own, a crew's together, or everybody's."""

    def __init__(self, problem: Problem) -> None:
        self._workers = problem.workers
        self._anybody = _joined(_days(worker) for worker in problem.workers)

    def by_day(self, stage: Stage, placed: Placed) -> Mapping[int, tuple[int, int]]:
        """Of each day the first minute of a task, and how many."""
        found: dict[int, tuple[int, int]] = {}
        for start, end, day in self._within(stage, placed):
            first, minutes = found.get(day, (start, 0))
            found[day] = (first, minutes + end - start)
        return found

    def _within(self, stage: Stage, placed: Placed) -> Iterator[tuple[int, int, int]]:
        if stage.attendance != "hands-on" or not placed.workers:
            return _cut(self._anybody, ((placed.start, placed.end),))
        first, *others = (self._workers[w] for w in placed.workers)
        spans: Minutes = ((placed.start, max(placed.hands_end, placed.start)),)
        for other in others:
            spans = tuple((a, b) for a, b, _ in _cut(_days(other), spans))
        return _cut(_days(first), spans)


def _days(worker: Worker) -> Days:
    return tuple((a, b, day) for (a, b), day in zip(worker.spans, worker.days, strict=True))


def _joined(hours: Iterable[Days]) -> Days:
    """The minutes at which anybody is at work; what goes past midnight counts on the day it began."""
    found: list[tuple[int, int, int]] = []
    for start, end, day in sorted(span for own in hours for span in own):
        if found and start <= found[-1][1]:
            before = found[-1]
            found[-1] = (before[0], max(before[1], end), before[2])
        else:
            found.append((start, end, day))
    return tuple(found)


def _cut(hours: Sequence[tuple[int, int, int]], spans: Minutes) -> Iterator[tuple[int, int, int]]:
    """What of some hours lies within stretches."""
    for start, end in spans:
        for n in range(bisect_right(hours, start, key=lambda each: each[1]), len(hours)):
            opens, closes, day = hours[n]
            if opens >= end:
                break
            yield max(opens, start), min(closes, end), day
