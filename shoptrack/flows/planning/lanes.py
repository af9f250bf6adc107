"""A plan → the stretches of work of each person on each day, and what the machines do by themselves."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.days import joined, less, minutes_in
from shoptrack.engine.hours import day_spans, local
from shoptrack.engine.shapes.planned import Placed, Plan, Task, Worker
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.shopfloor import Sight

Span = tuple[datetime, datetime]
Spans = tuple[Span, ...]


BEYOND = timedelta(days=21)
"""So long a shop may be closed after the last day that is drawn, and its next opening is found still."""


@dataclass(frozen=True, slots=True)
class Named:
    """A planned task by its names; ``part`` "round 2 of 3" where a stage is done in rounds.

    ``task`` is its place in the problem; None for a round that was closed already.
    """

    task: int | None
    stage: int
    job: int
    tag: str
    name: str
    part: str
    station: str
    late: bool
    pinned: bool
    in_hand: bool


@dataclass(frozen=True, slots=True)
class Piece:
    """What one person does of a stage on one day.

    ``stretches`` are the minutes at it, a lunch cut out. ``from_before``: it was begun on an earlier day;
    ``goes_on``: it is not done with this day. ``beside`` names who else is at it, ``together`` the tags of
    other jobs whose stages are in hand with it.
    """

    named: Named
    from_at: datetime
    to_at: datetime
    stretches: Spans
    minutes: float
    from_before: bool
    goes_on: bool
    beside: tuple[str, ...]
    together: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Done:
    """What a person did on a day by the log: the tag of the job, and the stretch that counts."""

    tag: str
    from_at: datetime
    to_at: datetime


@dataclass(frozen=True, slots=True)
class Lane:
    """A person's day: the ``hours`` they are at work, and what they are given; ``free_min`` are left over.

    ``done`` is what they did of it by now, of jobs that are open.
    """

    person: int
    name: str
    hours: Spans
    pieces: tuple[Piece, ...]
    free_min: float
    done: tuple[Done, ...] = ()


@dataclass(frozen=True, slots=True)
class MachineRun:
    """A machine at work by itself on one day, with somebody within earshot."""

    named: Named
    from_at: datetime
    to_at: datetime


class Names:
    """The names of the tasks of a plan."""

    def __init__(self, sight: Sight, laid: Laid, plan: Plan) -> None:
        self.sight, self.laid = sight, laid
        self.rounds: dict[int, list[int]] = {}
        for task in laid.problem.tasks:
            if not is_past(task):
                self.rounds.setdefault(task.stage, []).append(task.part)
        dues = zip(laid.problem.orders, plan.ready, strict=True)
        self.late = [o.due is not None and at is not None and at > o.due for o, at in dues]

    def of(self, number: int) -> Named:
        """The names of one task."""
        task, world = self.laid.problem.tasks[number], self.sight.world
        stage = world.stages[task.stage]
        station = world.stations.get(stage.station) if stage.station is not None else None
        return Named(
            task=number,
            stage=stage.id,
            job=stage.job,
            tag=world.jobs[stage.job].tag,
            name=stage.name,
            part=self._part(task),
            station=station.name if station else "",
            late=self.late[task.order],
            pinned=stage.id in world.pins,
            in_hand=task.begun is not None,
        )

    def in_hand_with(self, person: int, named: Named) -> tuple[str, ...]:
        """The tags of the other jobs that a person has in hand together with a stage."""
        now = self.sight.replayed.people.get(person)
        if now is None or named.stage not in now.stages or not named.in_hand:
            return ()
        world = self.sight.world
        others = (world.stages[s].job for s in now.stages if s != named.stage and s in world.stages)
        return tuple(dict.fromkeys(world.jobs[job].tag for job in others if job != named.job))

    def _part(self, task: Task) -> str:
        work, parts = self.sight.replayed.current(task.stage), self.rounds.get(task.stage, [])
        made = len(work.rounds)
        if made + len(parts) < 2 or task.part not in parts or work.count_done >= work.quantity:
            return ""
        stage = self.sight.world.stages[task.stage]
        word = "coat" if stage.recipes and stage.recipes[-1][1].kind == "finish" else "round"
        return f"{word} {made + sorted(parts).index(task.part) + 1} of {made + len(parts)}"


def is_past(task: Task) -> bool:
    """Whether a task stands for a round that was closed already: it holds what it holds, and is no work."""
    return task.begun is not None and task.work == 0


def instant_of(laid: Laid, minute: int) -> datetime:
    """The instant of a minute of the problem (UTC)."""
    return laid.start_at + timedelta(minutes=minute)


def pieces_of(sight: Sight, laid: Laid, plan: Plan, names: Names) -> dict[tuple[int, date], list[Piece]]:
    """Every stretch of hands by (person, local day), in order."""
    found: dict[tuple[int, date], list[Piece]] = {}
    workers = laid.problem.workers
    for placed in plan.placed:
        if placed.hands_end <= placed.start:
            continue
        crew = [workers[w] for w in placed.workers]
        for days in _days(sight, laid, placed):
            for worker in crew:
                beside = tuple(other.name for other in crew if other is not worker)
                named = names.of(placed.task)
                together = names.in_hand_with(worker.person, named) if days.first else ()
                piece = _piece(named, days, beside, together)
                found.setdefault((worker.person, days.on), []).append(piece)
    return {key: sorted(found[key], key=lambda p: p.from_at) for key in found}


@dataclass(frozen=True, slots=True)
class _Day:
    on: date
    stretches: Spans
    first: bool
    last: bool


def _days(sight: Sight, laid: Laid, placed: Placed) -> Iterator[_Day]:
    """The working stretches of a crew within the hands of a task, day by day."""
    first, *others = (laid.problem.workers[w] for w in placed.workers)
    within = list(_at_work(first, placed.start, placed.hands_end))
    for other in others:
        within = [(c, d, day) for a, b, day in within for c, d, _ in _at_work(other, a, b)]
    days = list(dict.fromkeys(day for _, _, day in within))
    for day in days:
        own = tuple((instant_of(laid, a), instant_of(laid, b)) for a, b, of in within if of == day)
        on = local(sight.world.calendar, own[0][0]).date()
        yield _Day(on, own, day == days[0], day == days[-1])


def _at_work(worker: Worker, start: int, end: int) -> Iterator[tuple[int, int, int]]:
    """A worker's stretches between two minutes, each with its day."""
    for n in range(bisect_right(worker.spans, start, key=lambda span: span[1]), len(worker.spans)):
        opens, closes = worker.spans[n]
        if opens >= end:
            return
        yield max(opens, start), min(closes, end), worker.days[n]


def _piece(named: Named, day: _Day, beside: tuple[str, ...], together: tuple[str, ...]) -> Piece:
    return Piece(
        named=named,
        from_at=day.stretches[0][0],
        to_at=day.stretches[-1][1],
        stretches=day.stretches,
        minutes=minutes_in(day.stretches),
        from_before=not day.first,
        goes_on=not day.last,
        beside=beside,
        together=together,
    )


def runs_of(sight: Sight, laid: Laid, plan: Plan, names: Names) -> dict[date, list[MachineRun]]:
    """What goes on by itself while somebody is at work, after its hands are done, by the day it begins on."""
    found: dict[date, list[MachineRun]] = {}
    for placed in plan.placed:
        task = laid.problem.tasks[placed.task]
        machine = sight.world.stages[task.stage].attendance != "hands-on"
        if task.watched and machine and placed.hands_end < placed.end:
            from_at, to_at = instant_of(laid, placed.hands_end), instant_of(laid, placed.end)
            on = local(sight.world.calendar, from_at).date()
            found.setdefault(on, []).append(MachineRun(names.of(placed.task), from_at, to_at))
    return found


def hours_by_day(sight: Sight, laid: Laid, until: date) -> dict[tuple[int, date], Spans]:
    """When each person is at work on each day up to one and beyond, by (person, local day); today also where
    it is over.
    """
    today = local(sight.world.calendar, laid.start_at).date()
    found: dict[tuple[int, date], list[Span]] = {(w.person, today): [] for w in laid.problem.workers}
    most = _minute_past(laid, until)
    for worker in laid.problem.workers:
        for start, end in (span for span in worker.spans if span[0] < most):
            at = instant_of(laid, start)
            on = local(sight.world.calendar, at).date()
            found.setdefault((worker.person, on), []).append((at, instant_of(laid, end)))
    return {key: joined([*spans, *_gone(sight, laid, *key)]) for key, spans in found.items()}


def _minute_past(laid: Laid, until: date) -> int:
    """A minute some days past a day, so that the next opening after it is seen too."""
    return (until - laid.start_at.date() + BEYOND).days * 24 * 60


def _gone(sight: Sight, laid: Laid, person: int, on: date) -> Iterable[Span]:
    """The hours of a day that were over when the plan was made."""
    spans = day_spans(sight.world.calendar, person, on)
    return [(a, min(b, laid.start_at)) for a, b in spans if a < laid.start_at]


def done_by(sight: Sight, person: int, day: Span) -> tuple[Done, ...]:
    """What a person did on a day up to now, in order; stretches of one job that touch are one."""
    jobs, stages = sight.world.jobs, sight.world.stages
    found: list[Done] = []
    spans = (
        (a, min(b, sight.now), jobs[stages[stint.stage].job].tag)
        for passes in sight.replayed.passes.values()
        for work in passes
        for stint in work.stints
        if stint.person == person and stint.stage in stages
        for a, b in stint.counted
        if day[0] <= a < day[1]
    )
    for start, end, tag in sorted(spans):
        last = found[-1] if found else None
        if last is not None and last.tag == tag and start <= last.to_at:
            found[-1] = Done(tag, last.from_at, max(end, last.to_at))
        elif end > start:
            found.append(Done(tag, start, end))
    return tuple(found)


def lane(
    person: int, name: str, hours: Spans, pieces: Sequence[Piece], now: datetime, done: tuple[Done, ...] = ()
) -> Lane:
    """A person's day."""
    ahead = [(max(a, now), b) for a, b in hours if b > now]
    left = less(ahead, [s for piece in pieces for s in piece.stretches])
    return Lane(person, name, hours, tuple(pieces), minutes_in(left), done)
