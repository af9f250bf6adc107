"""How the shop stands → all that the tasks of a problem are made from, each worked out once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from shoptrack.engine.marks import room_of
from shoptrack.engine.shapes import Need, Pass, Room, Stage, Standing, World, in_force
from shoptrack.flows.planning.awaited import Held
from shoptrack.flows.planning.calendar import Timeline
from shoptrack.flows.planning.lags import NO_LAGS, Lags, LagsOf
from shoptrack.flows.planning.left import Foretold
from shoptrack.flows.planning.resources import Things
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True)
class Ground:
    """A sight with the world as it is, or as it would be, and what was made of both.

    ``left`` are the passes of each stage in which there is work still. ``workers`` and ``orders`` are the
    places of people and jobs in the problem, ``longest_min`` is the longest stretch that anybody works.
    """

    sight: Sight
    world: World
    line: Timeline
    things: Things
    lags: LagsOf
    foretold: Foretold
    held: Held
    left: Mapping[int, Sequence[Pass]]
    workers: Mapping[int, int]
    orders: Mapping[int, int]
    longest_min: int
    _rooms: dict[tuple[int | None, int | None], Room] = field(default_factory=dict)
    _lags: dict[int, Lags] = field(default_factory=dict)

    @property
    def now(self) -> datetime:
        """The instant of the sight."""
        return self.sight.now

    def standing(self, stage: int) -> Standing:
        """Where a stage stands."""
        return self.sight.standings[stage]

    def passes(self, stage: int) -> tuple[Pass, ...]:
        """All passes of a stage."""
        return self.sight.replayed.passes[stage]

    def room(self, stage: Stage) -> Room:
        """The room that a stage is done and cures in."""
        key = (stage.room, stage.station)
        if key not in self._rooms:
            self._rooms[key] = room_of(self.world, stage)
        return self._rooms[key]

    def lags_of(self, stage: Stage) -> Lags:
        """How long what follows a stage waits for its glue or finish."""
        if not stage.recipes:
            return NO_LAGS
        if stage.id not in self._lags:
            recipe = in_force(stage.recipes, self.now)
            self._lags[stage.id] = self.lags.of(recipe, self.room(stage))
        return self._lags[stage.id]

    def still_wet(self, standing: Standing) -> bool:
        """Whether the next coat can't go on yet."""
        return standing.own_gate_at is not None and standing.own_gate_at > self.now

    def here(self, people: Iterable[int]) -> tuple[int, ...]:
        """Those of some people who are planned for, by their places."""
        return tuple(sorted({self.workers[p] for p in people if p in self.workers}))

    def needs(self, stage: Stage) -> Sequence[Need]:
        """What a stage comes after, as far as it is in its job."""
        standings = self.sight.standings
        for need in stage.needs:
            if need.stage not in standings:
                return [need for need in stage.needs if need.stage in standings]
        return stage.needs

    def is_last(self, stage: Stage) -> bool:
        """Whether nothing in its job comes after a stage."""
        followers = self.sight.followers.get(stage.id)
        return not followers or not any(s.id in self.sight.standings for s in followers)


def left_of(sight: Sight, stage: Stage) -> Sequence[Pass]:
    """The passes of a stage in which there is work still. Empty: it is done, or in closed rounds."""
    standing = sight.standings[stage.id]
    if standing.state == "done" and len(sight.replayed.passes[stage.id]) == 1:
        return ()
    if stage.attendance == "none":
        return [] if standing.state == "done" or standing.work.finished_at is not None else [standing.work]
    passes = sight.replayed.passes[stage.id]
    return [work for work in passes if work.finished_at is None and work.quantity > done_of(work)]


def done_of(work: Pass) -> float:
    """How much of a pass that is not finished is in closed rounds."""
    return work.count_done if work.rounds else 0.0
