"""How the shop stands and what was learned → the work to come as a problem of whole minutes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from shoptrack.engine.shapes import Job, Stage, World
from shoptrack.engine.shapes.planned import Order, Problem, Task, Worker
from shoptrack.flows.planning.awaited import Untold, held_days, held_up
from shoptrack.flows.planning.calendar import Timeline, timeline, workers_of
from shoptrack.flows.planning.changes import Change, asides_with, first_jobs, with_changes
from shoptrack.flows.planning.ground import Ground, left_of
from shoptrack.flows.planning.hands import AllHands
from shoptrack.flows.planning.lags import LagsOf
from shoptrack.flows.planning.left import Draw, Foretold, Share
from shoptrack.flows.planning.past import Past
from shoptrack.flows.planning.pieces import Piece, Pieces
from shoptrack.flows.planning.resources import Away, edgeless, edges_away, things_of
from shoptrack.flows.planning.stages import Tasks
from shoptrack.flows.shopfloor import Sight

MUST_KEEP = 5
"""What a minute late weighs of a job that must be kept to its day, against one of any other."""
FIRST = 100
"""The same of a job that is to come before all others."""

_NOBODY = "Nobody is at work in the coming year: say under Shop who works here and when it is open."


@dataclass(frozen=True, eq=False)
class Laid:
    """The work to come as a problem whose minutes count from ``start_at``.

    ``pieces`` say of each task what it is; ``parts`` of which ``draws`` it takes which shares, added up
    (none: its minutes are not drawn, as those of a rest). ``order_of``, ``worker_of``, ``station_of`` and
    ``tool_of`` give the places of jobs, people, stations and tools that are away; ``pool_of`` a resource is
    the pool that its reach of clamps is named after. ``untold`` says what is not planned and why, beside what
    no plan of the problem can hold; ``not_whole`` are the jobs of which something is not planned.
    """

    problem: Problem
    line: Timeline
    pieces: tuple[Piece, ...]
    draws: tuple[Draw, ...]
    parts: tuple[tuple[Share, ...], ...]
    order_of: Mapping[int, int]
    worker_of: Mapping[int, int]
    station_of: Mapping[int, int]
    tool_of: Mapping[int, int]
    pool_of: Mapping[int, int]
    untold: tuple[Untold, ...] = ()
    not_whole: frozenset[int] = frozenset()
    tasks_of: Mapping[int, tuple[int, ...]] = field(default_factory=dict)

    @property
    def start_at(self) -> datetime:
        """The instant of minute nought: the UTC minute that the sight's instant is in."""
        return self.line.start_at

    @property
    def past(self) -> frozenset[int]:
        """The tasks that stand for rounds closed already: without work, but for who still tidies up."""
        return frozenset(n for n, piece in enumerate(self.pieces) if piece.past)

    def minutes(self, at: datetime) -> int:
        """The whole minute that an instant is in."""
        return self.line.floor(at)

    def instant(self, minute: int) -> datetime:
        """The instant of a minute (UTC)."""
        return self.line.instant(minute)


def lay(sight: Sight, changes: Sequence[Change] = (), tools_away: Away | None = None) -> Laid:
    """The problem of the open jobs as they stand.

    Takes changes that are only thought of, and tools that are away from when to when (None: those of which no
    edge may be used now). Gives a task for each round of what is left of each pass, and one without work for
    each closed round that still keeps something.
    Empty: no open jobs, no tasks. Where nobody is at work in the coming year nothing is planned.
    """
    world = with_changes(sight.world, changes)
    line = timeline(world.calendar, sight.now)
    jobs = [job for job in world.jobs.values() if job.closed_at is None]
    order_of = {job.id: n for n, job in enumerate(jobs)}
    workers = workers_of(world, line)
    stages = [
        world.stages[s] for s in sight.standings if s in world.stages and world.stages[s].job in order_of
    ]
    left = {stage.id: found for stage in stages if (found := left_of(sight, stage))}
    asides = asides_with(sight.replayed.asides, world, changes, sight.now)
    gone = edges_away(world, sight, line) if tools_away is None else tools_away
    ground = Ground(
        sight=sight,
        world=world,
        line=line,
        things=things_of(world, sight, line, gone),
        lags=LagsOf(world.calendar, line.next_middle_at),
        foretold=Foretold(sight.learned, {job.id: job.pattern for job in jobs}, sight.now),
        held=held_up(sight, world, asides, line, left, edgeless(gone)),
        left=left,
        workers={worker.person: n for n, worker in enumerate(workers)},
        orders=order_of,
        longest_min=max((b - a for spans in {w.spans for w in workers} for a, b in spans), default=0),
    )
    orders = _orders(world, jobs, line, first_jobs(changes))
    at_work = any(worker.spans for worker in workers)
    return _laid(ground, stages if at_work else [], orders, workers)


def _orders(world: World, jobs: Sequence[Job], line: Timeline, first: frozenset[int]) -> tuple[Order, ...]:
    later = held_days(world.awaited, line.today)
    return tuple(
        Order(
            name=job.tag,
            due=None if job.promised_on is None else line.due(job.promised_on, later.get(job.id, 0)),
            weight=FIRST if job.id in first else MUST_KEEP if job.must_keep else 1,
            job=job.id,
        )
        for job in jobs
    )


def _laid(
    ground: Ground,
    stages: Sequence[Stage],
    orders: tuple[Order, ...],
    workers: tuple[Worker, ...],
) -> Laid:
    pieces = Pieces(ground)
    pieces.cut_all(stages)
    past = Past(ground, len(pieces.found))
    hands = AllHands(ground, pieces)
    tasks, parts = _tasks(ground, stages, Tasks(ground, pieces, hands, past), len(pieces.found))
    every = (*pieces.found, *past.pieces)
    line, things = ground.line, ground.things
    problem = Problem((*tasks, *past.tasks), orders, workers, things.resources, line.horizon)
    nobody = bool(ground.left) and not stages
    return Laid(
        problem=problem,
        line=line,
        pieces=every,
        draws=tuple(hands.draws),
        parts=(*parts, *(() for _ in past.tasks)),
        order_of=ground.orders,
        worker_of=ground.workers,
        station_of=things.stations,
        tool_of=things.tools,
        pool_of=things.pool_of,
        untold=(Untold(None, None, _NOBODY),) if nobody else ground.held.untold,
        not_whole=_not_whole(ground, ground.left if nobody else ground.held.out),
        tasks_of=_by_stage(every),
    )


def _tasks(
    ground: Ground, stages: Sequence[Stage], made: Tasks, count: int
) -> tuple[list[Task], list[tuple[Share, ...]]]:
    """Every task in its place, and the shares of its draws; what is past is added behind on the way."""
    tasks: dict[int, Task] = {}
    shares: dict[int, tuple[Share, ...]] = {}
    for stage in stages:
        if ground.standing(stage.id).cures:
            made.past.add_held(stage)
        if stage.id in ground.left:
            for place, task, own in made.of(stage):
                tasks[place], shares[place] = task, own
    return [tasks[n] for n in range(count)], [shares[n] for n in range(count)]


def _not_whole(ground: Ground, out: Iterable[int]) -> frozenset[int]:
    """The jobs of some stages."""
    return frozenset(ground.world.stages[stage].job for stage in out)


def _by_stage(pieces: Sequence[Piece]) -> dict[int, tuple[int, ...]]:
    found: dict[int, tuple[int, ...]] = {}
    for n, piece in enumerate(pieces):
        if not piece.past:
            found[piece.stage] = (*found.get(piece.stage, ()), n)
    return found
