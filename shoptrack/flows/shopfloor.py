"""The log and the shop as it was set up → how everything stands now, read once and shared by all pages."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from sqlalchemy.orm import Session

from shoptrack.engine.marks import cure_questions, untils
from shoptrack.engine.replay import book_lines, replay
from shoptrack.engine.shapes import Entry, LogLine, Question, Replayed, Standing, Until, World
from shoptrack.engine.states import stand
from shoptrack.store import log, snapshot
from shoptrack.store.db import Head, Store, head
from shoptrack.store.known import stages_of


@dataclass(frozen=True)
class Sight:
    """How the shop stands at ``now``: the world, what replay says of it, and each stage's standing."""

    now: datetime
    head: Head
    world: World
    entries: tuple[Entry, ...]
    replayed: Replayed
    standings: Mapping[int, Standing]

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """All that is asked: by the log, then by the marks."""
        return self.replayed.questions + cure_questions(self.standings, self.replayed, self.world)

    @cached_property
    def untils(self) -> tuple[Until, ...]:
        """Marks that end and must be met, soonest first."""
        return untils(self.standings, self.now)

    def stages_of(self, job: int) -> tuple[Standing, ...]:
        """The standings of a job's stages in their order."""
        own = [s for s in self.world.stages.values() if s.job == job]
        return tuple(self.standings[s.id] for s in sorted(own, key=lambda s: s.position))

    def lines(self, job: int) -> tuple[LogLine, ...]:
        """The lines of the book that speak of a job, struck ones and what struck them included."""
        own = {s.id for s in self.world.stages.values() if s.job == job}
        wanted = {e.id for e in self.entries if e.job == job or own & set(e.stages)}
        grown = True
        while grown:
            more = {e.id for e in self.entries if e.of in wanted} - wanted
            wanted |= more
            grown = bool(more)
        chosen = [e for e in self.entries if e.id in wanted]
        return book_lines(chosen, self.replayed.notes)


def gather(store: Store, now: datetime) -> Sight:
    """How all open jobs stand at ``now``."""
    with store.reading() as session:
        return sight_of(session, now)


def gather_job(store: Store, job: int, now: datetime) -> Sight:
    """How one job, open or closed, stands at ``now``, among all that its people did meanwhile."""
    with store.reading() as session:
        return sight_of(session, now, (job,))


def sight_of(session: Session, now: datetime, jobs: Collection[int] = ()) -> Sight:
    """Read the log and the world in one session, and replay; ``jobs`` are wanted though closed."""
    entries = tuple(log.open_log(session, jobs))
    world = snapshot.world(session, {s for e in entries for s in e.stages} | stages_of(session, jobs))
    replayed = replay(entries, world, now)
    return Sight(now, head(session), world, entries, replayed, stand(replayed, world))
