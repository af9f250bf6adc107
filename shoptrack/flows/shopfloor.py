"""The log and the shop as it was set up → how everything stands now, read once and shared by all pages."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine.edge_book import rack
from shoptrack.engine.marks import cure_questions, untils
from shoptrack.engine.replay import book_lines
from shoptrack.engine.shapes import (
    Entry,
    LogLine,
    Question,
    Replayed,
    Stage,
    Standing,
    ToolStands,
    Until,
    World,
)
from shoptrack.engine.states import stand
from shoptrack.flows.at_hand import AtHand, leave_for, left_for, only, read_at_hand
from shoptrack.flows.learning import Learned, remembered
from shoptrack.store.db import Head, Store, head
from shoptrack.store.signs import read_signs


@dataclass(frozen=True)
class Sight:
    """How the shop stands at ``now``: the world, what replay says of it, and each stage's standing.

    ``learned`` is what was learned last of the kinds of stage; None: nothing was yet. ``edges_before`` is
    where the edges were at the last look, where nothing was done to one since; None: that is not known.
    """

    now: datetime
    head: Head
    world: World
    entries: tuple[Entry, ...]
    replayed: Replayed
    standings: Mapping[int, Standing]
    learned: Learned | None = None
    edges_before: Mapping[int, ToolStands] | None = None

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """All that is asked: by the log, then by the marks."""
        return self.replayed.questions + cure_questions(self.standings, self.replayed, self.world)

    @cached_property
    def untils(self) -> tuple[Until, ...]:
        """Marks that end and must be met, soonest first."""
        return untils(self.standings, self.now)

    @cached_property
    def followers(self) -> Mapping[int, tuple[Stage, ...]]:
        """Of each stage that others need, those stages, in the order of the job."""
        found: dict[int, list[Stage]] = {}
        for stage in self.world.stages.values():
            for need in stage.needs if not stage.removed else ():
                found.setdefault(need.stage, []).append(stage)
        return {s: tuple(sorted(of, key=lambda stage: stage.position)) for s, of in found.items()}

    @cached_property
    def edges(self) -> Mapping[int, ToolStands]:
        """Where the edges of each tool are, and which were found dull; not what they have run."""
        if self.edges_before is not None or not self.world.edges:
            return self.edges_before or {}
        return rack(self.world.tools, self.world.edges, self.replayed.deeds, (), self.now).tools

    def stages_of(self, job: int) -> tuple[Standing, ...]:
        """The standings of a job's stages in their order, without those taken out of it."""
        own = [s for s in self.world.stages.values() if s.job == job and not s.removed]
        return tuple(self.standings[s.id] for s in sorted(own, key=lambda s: s.position))

    def removed_of(self, job: int) -> tuple[Stage, ...]:
        """The stages taken out of a job that the log speaks of: their minutes stay on it."""
        own = [s for s in self.world.stages.values() if s.job == job and s.removed]
        return tuple(sorted(own, key=lambda s: s.position))

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


def shown_at(now: datetime, newest_at: datetime | None) -> datetime:
    """The instant that pages are made for: this minute's start, or the newest tap where that is since.

    The minute is the boundary at which the clock changes a page; every mark, opening and closing falls
    within one. A tap in this minute counts at once.
    """
    minute = now.replace(second=0, microsecond=0)
    return newest_at if newest_at is not None and minute < newest_at <= now else minute


def gather(store: Store, now: datetime) -> Sight:
    """How all open jobs stand."""
    return gather_job(store, None, now)


def gather_job(store: Store, job: int | None, now: datetime) -> Sight:
    """How one job, open or closed, stands, among all open ones and all that its people did meanwhile."""
    with store.reading() as session:
        signs = read_signs(session)
        at = shown_at(now, signs.newest_at)
        return sight_of(store, session, at, () if job is None else (job,), signs.head)


def sight_of(
    store: Store, session: Session, now: datetime, jobs: Collection[int] = (), at: Head | None = None
) -> Sight:
    """Replay the log as this session sees it; what was read or replayed last serves while it still holds.

    ``jobs`` are wanted though closed. ``at`` is the head where this session has read it already.
    """
    this = at or head(session)
    left = left_for(store)
    if left is None or left.head != this or not left.jobs.issuperset(jobs):
        left = read_at_hand(session, this, jobs)
    left = left.stand_at(now, left.open_and(jobs))
    leave_for(store, left)
    return _drawn(store, left)


def knowing(sight: Sight, learned: Learned | None) -> Sight:
    """The same with what was learned at the beginning of a look, should more be learned meanwhile."""
    return sight if sight.learned is learned else replace(sight, learned=learned)


def _drawn(store: Store, left: AtHand) -> Sight:
    """The sight of what is at hand, the last one again where nothing moved."""
    last, learned = _LAST.get(store), remembered(store, left.head.database_id)
    if last is not None and last.replayed is left.state and last.learned is learned:
        return last
    assert left.state is not None  # it was replayed before it is drawn
    world = only(left.world, left.jobs)
    state = left.state
    edges = last.edges if last is not None and _untouched(last, world, state) else None
    standings = stand(state, world)
    _LAST[store] = Sight(state.now, left.head, world, left.entries, state, standings, learned, edges)
    return _LAST[store]


def _untouched(last: Sight, world: World, state: Replayed) -> bool:
    """Whether tools and edges are as they were, and nothing was done to an edge since."""
    same = (last.world.edges, last.world.tools) == (world.edges, world.tools)
    return same and last.replayed.deeds == state.deeds


_LAST: WeakKeyDictionary[Store, Sight] = WeakKeyDictionary()
