"""Passes that are not done → pieces of work, each a task to be, and when what is made of them is ready."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import exp, inf

from shoptrack.engine.shapes import Pass, Stage
from shoptrack.flows.planning.ground import Ground, done_of
from shoptrack.flows.planning.lags import MOST
from shoptrack.flows.planning.rounds import MOST_ROUNDS, Ready, cut, in_batches, rounds_of, whole_units


@dataclass(frozen=True, slots=True)
class Piece:
    """What a task is: ``count`` of a pass of a stage, its ``part`` counted from 0 on from now.

    ``past``: it was closed already, and is a task because something of it is still held or waited for.
    """

    stage: int
    redo: int
    part: int
    count: float
    past: bool = False


@dataclass(frozen=True, slots=True)
class Cut:
    """A pass with its pieces: the place of the first in the problem, and the count of each."""

    work: Pass
    first: int
    counts: tuple[float, ...]

    @property
    def last(self) -> int:
        """The place of the last piece."""
        return self.first + len(self.counts) - 1

    def until(self, part: int) -> float:
        """How much of the pass is done with a part."""
        return self.work.count_done + sum(self.counts[: part + 1])


@dataclass
class Pieces:
    """All pieces of work, numbered as they are cut."""

    ground: Ground
    found: list[Piece] = field(default_factory=list)
    cuts: dict[int, tuple[Cut, ...]] = field(default_factory=dict)
    _comes: dict[tuple[int, int], list[Ready]] = field(default_factory=dict)

    def cut_all(self, stages: Iterable[Stage]) -> None:
        """Cut all these stages, in the order of their jobs as far as they allow."""
        orders = self.ground.orders
        for stage in sorted(stages, key=lambda s: (orders[s.job], s.position)):
            self.of(stage)

    def of(self, stage: Stage) -> tuple[Cut, ...]:
        """The pieces of a stage, pass by pass. Empty: nothing is left of it, or it is not planned."""
        if stage.id not in self.cuts:
            self.cuts[stage.id] = ()  # where stages wait for each other in a ring
            if stage.id in self.ground.left and stage.id not in self.ground.held.out:
                works = [(work, self._counts(stage, work)) for work in self.ground.left[stage.id]]
                self.cuts[stage.id] = tuple(self._number(stage, work, counts) for work, counts in works)
        return self.cuts[stage.id]

    def _number(self, stage: Stage, work: Pass, counts: list[float]) -> Cut:
        first = len(self.found)
        self.found += [Piece(stage.id, work.redo, n, count) for n, count in enumerate(counts)]
        return Cut(work, first, tuple(counts))

    def _counts(self, stage: Stage, work: Pass) -> list[float]:
        done = done_of(work)
        left = work.quantity - done
        if stage.attendance == "none":
            return [left]
        fit = self._fit(stage, work) if in_batches(stage) else inf
        counts = rounds_of(stage, left, self.ground.things, fit)
        needs = [need for need in stage.needs if need.by_rounds]
        if work.redo or not needs:
            return counts
        standings = self.ground.sight.standings
        comes = [self.comes_to(stage, need.stage) for need in needs if need.stage in standings]
        return cut(counts, done, comes, MOST_ROUNDS)

    def _fit(self, stage: Stage, work: Pass) -> float:
        """How many pieces fit into half of the longest stretch that anybody works.

        So that a round that may not pause finds a place beside other work.
        """
        if stage.interruption == "any":
            return inf
        each_min = exp(self.ground.foretold.hands(stage, work.quantity).loc) / work.quantity
        return self.ground.longest_min / 2.0 * max(1, stage.people) / each_min

    def comes_to(self, stage: Stage, before: int) -> list[Ready]:
        """How much of a stage can be done with what is ready of one before it."""
        key = (stage.id, before)
        if key not in self._comes:
            other = self.ground.world.stages[before]
            self._comes[key] = whole_units(self._supply(other), other.quantity, stage.quantity)
        return self._comes[key]

    def _supply(self, stage: Stage) -> Iterator[Ready]:
        """What is ready of a stage, in the order in which it gets so; what is ready now as one."""
        line, total, last = self.ground.line, 0.0, -1
        gates = {(r.redo, r.number): c.gate_at() for r, c in self.ground.standing(stage.id).cures}
        cuts = {each.work.redo: each for each in self.of(stage)}
        ready: list[Ready] = []
        for work in self.ground.passes(stage.id):
            for made in work.rounds:
                total += made.count
                gate = gates.get((made.redo, made.number))
                at = 0 if gate is None else line.ceil(min(gate, self.ground.now + MOST))
                last = max(last, at, 0)
                ready.append(Ready(total, last))
            if not work.rounds and work.finished_at is not None:
                total += work.quantity
                ready.append(Ready(total, max(last, 0)))
            if work.redo in cuts:
                own = cuts[work.redo]
                for part, count in enumerate(own.counts):
                    total += count
                    ready.append(Ready(total, 0, own.first + part))
        now = [r for r in ready if r.piece is None and r.at == 0]
        yield from now[-1:]
        yield from (r for r in ready if r.piece is not None or r.at > 0)
