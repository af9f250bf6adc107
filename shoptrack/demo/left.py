"""What of all that is left may be touched now, and fits into the day, in the invented shop."""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from shoptrack.demo.scene import Scene
from shoptrack.demo.wear import Wear
from shoptrack.demo.works import EARLY, Work

TOGETHER = ("rough milling", "milling")
MIN = timedelta(minutes=1)
Spans = tuple[tuple[datetime, datetime], ...]


@dataclass
class Left:
    """What is left of each job, who holds which station, which clamps are out.

    ``promised`` orders jobs. ``clamps`` has for each pool the instants at which clamps come back.
    """

    scene: Scene
    wear: Wear
    works: dict[int, Work] = field(default_factory=dict)
    promised: dict[int, date] = field(default_factory=dict)
    busy: dict[int, datetime] = field(default_factory=dict)
    clamps: dict[int, list[datetime]] = field(default_factory=dict)

    @property
    def rng(self) -> random.Random:
        return self.scene.rng

    def add(self, works: Iterable[Work], promised_on: date) -> None:
        """Take the stages of a job on."""
        for work in works:
            self.works[work.stage.id] = work
            self.promised[work.stage.job] = promised_on

    def left(self, job: int) -> bool:
        """Whether anything of a job is still to be done."""
        return any(w.done_at is None for w in self.works.values() if w.stage.job == job)

    def choose(self, person: int, at: datetime, spans: Spans) -> Work | None:
        """The free stage of the job promised first, of those that fit into what is left of the day."""
        free = [w for w in self.works.values() if w.open_by is None and self.may(w, at)]
        fitting = [w for w in free if self._fits(w, at, spans)]
        return min(fitting, key=lambda w: (self.promised[w.stage.job], w.stage.position), default=None)

    def may(self, work: Work, at: datetime) -> bool:
        stage = work.stage
        if work.done_at is not None or work.free_at > at or stage.attendance == "none":
            return False
        if stage.station is not None and self.busy.get(stage.station, EARLY) > at:
            return False
        if not self.wear.may(stage):
            return False
        return all(self._met(n.stage, n.by_rounds, at) for n in stage.needs) and self.pieces(work, at) > 0

    def _met(self, stage: int, by_rounds: bool, at: datetime) -> bool:
        before = self.works.get(stage)
        if before is None:
            return True
        if before.stage.attendance == "none" and before.done_at is None:
            self._rest(before)
        if before.done_at is not None:
            return before.next_at <= at
        return by_rounds and any(ready <= at for ready, _ in before.rounds)

    def _rest(self, rest: Work) -> None:
        """A rest ends by itself once what it followed has been done for long enough."""
        before = [self.works[n.stage].done_at for n in rest.stage.needs if n.stage in self.works]
        if all(before):
            began = max((b for b in before if b is not None), default=EARLY)
            rest.done_at = began
            rest.next_at = began + timedelta(minutes=rest.stage.rule_min(began))

    def pieces(self, work: Work, at: datetime) -> float:
        """How much of a stage the clamps on the wall allow in one go."""
        for need in work.stage.clamps:
            owned = self.scene.world.pools[need.pool].owned[-1][1]
            out = sum(1 for back in self.clamps.get(need.pool, ()) if back > at)
            if not need.per_piece:
                return work.left if owned - out >= need.count else 0.0
            return float(min(work.left, owned - out, 7 if self.rng.random() < 0.5 else 5))
        return min(work.left, 1.0) if work.stage.rounds else work.left

    def _fits(self, work: Work, at: datetime, spans: Spans) -> bool:
        """What may not be interrupted must end before the next break, a machine before closing."""
        minutes = work.setup_min + work.rate_min * min(work.left, 5.0 if work.stage.rounds else work.left)
        if work.stage.interruption == "none":
            return inside(at, at + minutes * MIN, spans)
        if work.stage.attendance == "within earshot":
            return at + (work.minutes_left + 5) * MIN <= spans[-1][1]
        return at + 10 * MIN < spans[-1][1]

    def beside(self, work: Work, at: datetime, spans: Spans) -> Work | None:
        """Another job's milling that would share the set-up."""
        if work.stage.kind not in TOGETHER or work.worked_min or self.rng.random() > 0.85:
            return None
        others = [
            w
            for w in self.works.values()
            if w.stage.kind == work.stage.kind
            and w.stage.job != work.stage.job
            and w.stage.station == work.stage.station
            and not w.worked_min
            and w.open_by is None
            and self.may(w, at)
        ]
        other = min(others, key=lambda w: self.promised[w.stage.job], default=None)
        both = other and after_minutes(at, work.minutes_left + other.rate_min * other.left, spans)
        return other if both else None


def inside(start: datetime, end: datetime, spans: Spans) -> bool:
    return any(a <= start and end <= b for a, b in spans)


def at_work(at: datetime, spans: Spans) -> datetime:
    """The instant itself, or the end of the break it falls into."""
    return next((max(at, a) for a, b in spans if at < b), at)


def after_minutes(at: datetime, minutes: float, spans: Spans) -> datetime | None:
    """The instant at which so many working minutes have passed; None when the day is too short."""
    for a, b in spans:
        if b <= at:
            continue
        room = (b - max(a, at)).total_seconds() / 60
        if minutes <= room:
            return max(a, at) + minutes * MIN
        minutes -= room
    return None
