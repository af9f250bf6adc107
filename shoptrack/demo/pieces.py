"""The kinds of piece that the invented shop makes, as patterns with their graphs of stages."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.demo.people import Rooms
from shoptrack.demo.sequences import PATTERNS
from shoptrack.demo.steps import Step
from shoptrack.demo.things import Things
from shoptrack.engine.shapes import ClampNeed
from shoptrack.store.patterns import PatternNeed, PatternStage, make_pattern, revise_pattern


@dataclass(frozen=True)
class Catalogue:
    """Where the names in a sequence of stages lead: ids of all that a stage can demand."""

    things: Things
    rooms: Rooms
    recipes: Mapping[str, int]

    def stage(self, step: Step, places: Mapping[str, int]) -> PatternStage:
        """One step with its names looked up; ``places`` are those of the steps by name."""
        room = {"bench": self.rooms.bench, "machines": self.rooms.machines, "finish": self.rooms.finish}
        return PatternStage(
            kind=self.things.kinds[step.kind],
            name=step.name,
            fixed=step.fixed,
            per_piece=step.per_piece,
            needs=[self._need(name, places) for name in step.after],
            clamps=[ClampNeed(self.things.pools[p], n, step.each) for p, n in step.clamps],
            tools=[(self.things.tools[t], share) for t, share in step.tools],
            station=self.things.stations[step.station] if step.station else None,
            room=room[step.room] if step.room else None,
            recipe=self.recipes[step.recipe] if step.recipe else None,
            joint=step.joint,
            material=self.things.woods[step.wood] if step.wood else None,
            rounds=step.rounds,
            hands_at_min=step.hands_at,
            settings=step.settings,
            caution=step.caution,
        )

    def _need(self, name: str, places: Mapping[str, int]) -> PatternNeed:
        """A name with a star lets its follower start on the rounds that are ready."""
        return PatternNeed(places[name.rstrip("*")], by_rounds=name.endswith("*"))


def write_patterns(session: Session, catalogue: Catalogue, now: datetime) -> dict[str, int]:
    """All patterns, the tray with a second revision; the ids of their newest revisions by name."""
    revisions = {}
    for name, steps in PATTERNS.items():
        stages = _stages(catalogue, steps)
        revision = make_pattern(session, name, stages=stages, now=now, note="as it has been made so far")
        if name == "serving tray":
            note = "blanks wait overnight before carving since two of them cupped"
            revision = revise_pattern(session, revision.pattern_id, stages=stages, now=now, note=note)
        revisions[name] = revision.id
    return revisions


def _stages(catalogue: Catalogue, steps: Sequence[Step]) -> list[PatternStage]:
    places = {step.name: place for place, step in enumerate(steps, start=1)}
    return [catalogue.stage(step, places) for step in steps]
