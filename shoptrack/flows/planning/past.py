"""Rounds that were closed already → tasks without work, for the clamps, wet coats and waits they leave."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime

from shoptrack.engine.shapes import Cure, Round, Stage, Standing, in_force
from shoptrack.engine.shapes.planned import Task, Uses
from shoptrack.flows.planning.ground import Ground
from shoptrack.flows.planning.lags import MOST, dry_at, gate_of, off_at
from shoptrack.flows.planning.pieces import Piece

Key = tuple[int, int, int]
"""A stage, its redo, and the number of the round; 0: the whole pass."""


@dataclass
class Past:
    """Tasks that ended at minute nought: what they keep they keep from then on, by their real marks.

    Who has just closed a round and wipes it off, or washes the brush, is at it still for as long.

    ``first`` is the place of the first of them in the problem.
    """

    ground: Ground
    first: int
    tasks: list[Task] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    _places: dict[Key, int] = field(default_factory=dict)

    def add_held(self, stage: Stage) -> None:
        """The rounds of a stage that hold clamps or a place, are wet, or keep their job from being ready."""
        standing = self.ground.standing(stage.id)
        for made, cured in standing.cures:
            task = self._held(stage, made, cured)
            if standing.people and made is standing.cures[-1][0] and self._is_tidied(stage, standing):
                here = self.ground.here(standing.people)
                task = self._in_hand(task or self._bare(stage), here, self._until_wiped(made, cured))
            if task is not None:
                self._add((stage.id, made.redo, made.number), made.count, task)

    def _is_tidied(self, stage: Stage, standing: Standing) -> bool:
        """Whether those who have a stage in hand are at the round that is closed, not at one to come."""
        left = (work.redo for work in self.ground.left.get(stage.id, ()))
        return self.ground.still_wet(standing) or standing.work.redo not in left

    def _until_wiped(self, made: Round, cured: Cure) -> int:
        """The minutes that a round just closed still takes hands: until it is to be wiped off, else one."""
        ends = [
            m.until_at
            for m in cured.marks
            if m.mark.needs_hands and m.from_at is None and m.until_at and m.mark.role not in made.tended
        ]
        return max([1, *(self._left(end) for end in ends)])

    def _in_hand(self, task: Task, here: tuple[int, ...], minutes: int) -> Task:
        """The same while people are still at it: what counts from its end counts from so much later."""
        return replace(
            task,
            work=minutes,
            crew=len(here),
            begun=here,
            off=max(0, task.off - minutes),
            wet=max(0, task.wet - minutes),
            tail=max(0, task.tail - minutes),
        )

    def ended(self, place: int) -> int:
        """The minute at which a task of the past ends: nought, unless somebody is at it still."""
        return self.tasks[place - self.first].work

    def place_of(self, stage: Stage, made: Round | None, redo: int = 0) -> int:
        """The place of a round, or of a whole pass, as something that other tasks come after."""
        key = (stage.id, redo, 0) if made is None else (stage.id, made.redo, made.number)
        if key not in self._places:
            self._add(key, 0.0 if made is None else made.count, self._bare(stage))
        return self._places[key]

    def _add(self, key: Key, count: float, task: Task) -> None:
        self._places[key] = self.first + len(self.tasks)
        self.tasks.append(task)
        self.pieces.append(Piece(key[0], key[1], max(0, key[2] - 1), count, past=True))

    def _bare(self, stage: Stage) -> Task:
        return Task(self.ground.orders[stage.job], 0, self._name(stage), stage.id, crew=0, begun=())

    def _name(self, stage: Stage) -> str:
        return f"{self.ground.world.jobs[stage.job].tag} {stage.name}"

    def _held(self, stage: Stage, made: Round, cured: Cure) -> Task | None:
        """What is left of a round; None: nothing."""
        gate = self._left(gate_of(cured))
        wet = self._left(dry_at(in_force(stage.recipes, made.cured_from), cured))
        if not (gate or wet or made.clamps):
            return None
        off = self._left(off_at(cured)) if made.clamps else 0
        keeps = list(self.ground.things.clamps(made.clamps))
        if stays := self._stays(stage, gate):
            keeps += stays
            off = max(off, gate)
        tail = gate if self.ground.is_last(stage) else 0
        if not (keeps or wet or tail):
            return None
        return Task(
            order=self.ground.orders[stage.job],
            work=0,
            name=self._name(stage),
            stage=stage.id,
            part=max(0, made.number - 1),
            crew=0,
            keeps=tuple(keeps),
            off=off,
            room=self.ground.room(stage).id,
            wet=wet,
            begun=(),
            tail=tail,
        )

    def _stays(self, stage: Stage, gate: int) -> Uses:
        """The place that a round is left in until its mark is reached."""
        station = self.ground.world.stations.get(stage.station) if stage.station is not None else None
        if station is None or not station.through_cure or gate <= 0:
            return ()
        return ((self.ground.things.stations[station.id], 1),)

    def _left(self, at: datetime | None) -> int:
        """The minutes until an instant; nought where it is past."""
        return 0 if at is None else max(0, self.ground.line.ceil(min(at, self.ground.now + MOST)))


def next_coat_by(ground: Ground, stage: Stage) -> Iterator[tuple[Round, datetime]]:
    """The last round of a stage with the end of its window for the next coat, while that is still to come."""
    standing = ground.standing(stage.id)
    own = [(made, cured) for made, cured in standing.cures if made.redo == standing.work.redo]
    for made, cured in own[-1:]:
        for mark in cured.marks:
            if mark.mark.role == "recoat" and mark.until_at is not None and mark.until_at > ground.now:
                yield made, mark.until_at
