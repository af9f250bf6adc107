"""The plan that is shown → what is next for each person and why, and what blocks the rest, in a sentence."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from weakref import WeakKeyDictionary

from shoptrack.engine import nextup
from shoptrack.engine.hours import local
from shoptrack.engine.nextup import GRACE_MIN, Block
from shoptrack.engine.shapes import in_force
from shoptrack.engine.shapes.planned import Placed
from shoptrack.engine.units import minutes_words
from shoptrack.flows.planning.dates import working_days
from shoptrack.flows.planning.last_said import Cost, Said, last_said
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight

When = Callable[[datetime], str]
"""Writes an instant as the shop does: "14:10", "tomorrow 8:00"."""


@dataclass(frozen=True, slots=True)
class Blocked:
    """What a stage waits for: ``why`` as of ``engine.nextup.Block`` or "edge", its name, and until when.

    ``until_at`` None: until the stage begins, and that is said beside it.
    """

    why: str
    name: str
    until_at: datetime | None


@dataclass(frozen=True, slots=True)
class Why:
    """Why a stage comes next.

    ``cures`` is "cures", "dries" or "rests" where it does so through the night, else empty. Not begun before
    ``until_at``, it costs ``costs``, the dearest first; ``missed``: a coat or a glue would be too late then.
    ``spare_days`` are working days to the promised date, below nought past it; None where there is no date.
    """

    tag: str
    cures: str
    until_at: datetime
    tomorrow: bool
    costs: tuple[Cost, ...]
    missed: bool
    spare_days: int | None


@dataclass(frozen=True, slots=True)
class Slot:
    """When the plan has a stage, and who does it; ``starts_at`` None: now. ``held``: what it waits for."""

    stage: int
    starts_at: datetime | None
    people: tuple[int, ...]
    names: tuple[str, ...]
    held: Blocked | None


class NextUp:
    """What a plan says of who does what next; the reasons are worked out when they are asked for."""

    def __init__(self, sight: Sight, planned: Planned) -> None:
        self._sight, self._laid, self._plan = sight, planned.laid, planned.plan
        self._problem = planned.laid.problem
        self._workers = {w.person: n for n, w in enumerate(self._problem.workers)}
        self._first = _first_places(planned)
        self._why: dict[tuple[int, int], Why | None] = {}
        self._said = last_said(sight, planned)
        self._claims = self._claimed()

    @property
    def knows(self) -> bool:
        """Whether anything is planned at all."""
        return bool(self._plan.placed)

    def next_for(self, person: int) -> int | None:
        """The stage that is next for a person by the plan; two people get one only where it takes both."""
        placed = self._claims.get(person)
        return self._problem.tasks[placed.task].stage if placed else None

    def slot(self, stage: int) -> Slot | None:
        """When the plan has a stage that is not begun, and what it waits for until then."""
        placed = self._first.get(stage)
        if placed is None:
            return None
        own = [self._problem.workers[w] for w in placed.workers]
        block = nextup.blocked(self._problem, self._plan, placed.task)
        starts_at = self._instant(placed.start) if placed.start > GRACE_MIN else None
        held = self._held(block, placed.start) if block else None
        return Slot(stage, starts_at, tuple(w.person for w in own), tuple(w.name for w in own), held)

    def rank(self, person: int, stage: int) -> tuple[int, int]:
        """Where a stage comes among all that a person may start: their next first, another's next last."""
        placed, worker = self._first.get(stage), self._workers.get(person)
        if placed is None:
            return (4, 0)
        if self.next_for(person) == stage:
            return (0, 0)
        if worker in placed.workers:
            return (1, placed.start)
        taken = any(self.next_for(other) == stage for other in self._claims)
        return (3 if taken else 2, placed.start)

    def start(self, stage: int) -> tuple[int, int]:
        """Where a stage comes by its start; what is not planned comes last."""
        placed = self._first.get(stage)
        return (1, 0) if placed is None else (0, placed.start)

    def because(self, person: int, stage: int) -> "Why | Blocked | None":
        """Why a stage is next for a person, or what it waits for, where that is more than somebody's time.

        None for one that is not planned, and for one whose day is to come: how it stands says more then.
        """
        slot = self.slot(stage)
        held = slot.held if slot else None
        if slot is None or (held is not None and held.why == "day"):
            return None
        return held if held is not None and held.why != "person" else self.why(person, stage)

    def why(self, person: int, stage: int) -> Why | None:
        """Why a stage comes next for a person: what waiting would cost. One decode, where it is not known."""
        asked = (person, stage)
        if asked not in self._why:
            placed, worker = self._first.get(stage), self._workers.get(person)
            known = placed is not None and worker is not None
            self._why[asked] = self._reason(placed, worker) if known else None  # type: ignore[arg-type]
        return self._why[asked]

    def _claimed(self) -> Mapping[int, Placed]:
        """The next task of each person, in the order of their names on the Floor."""
        taken = {s for now in self._sight.replayed.people.values() for s in now.stages}
        claims: dict[int, Placed] = {}
        for person in self._sight.world.people:
            worker = self._workers.get(person)
            if worker is None:
                continue
            given = nextup.given_to(self._problem, self._plan, worker)
            both = {p.task for p in claims.values()}
            mine = (p for p in given if p.task in both or self._problem.tasks[p.task].stage not in taken)
            placed = next(mine, None)
            if placed is not None:
                claims[person] = placed
                taken.add(self._problem.tasks[placed.task].stage)
        return claims

    def _reason(self, placed: Placed, worker: int) -> Why:
        task = self._problem.tasks[placed.task]
        piece = task.stage, task.part, self._problem.workers[worker].person
        until = nextup.next_day(self._problem, worker, placed.start)
        until_at = self._instant(placed.start if until is None else until)
        said = self._said.get(piece)
        if said is None or not said.holds(self._sight.now, until_at, self._ready_on):
            said = self._said[piece] = self._tried(placed, worker, until_at)
        days = [local(self._sight.world.calendar, each).date() for each in (self._sight.now, until_at)]
        return Why(
            tag=self._tag(task.order),
            cures=self._cures(placed),
            until_at=until_at,
            tomorrow=days[1] - days[0] == timedelta(days=1),
            costs=said.costs,
            missed=said.missed,
            spare_days=self._spare(task.order),
        )

    def _tried(self, placed: Placed, worker: int, until_at: datetime) -> Said:
        found = nextup.waiting(self._problem, self._plan, placed.task, worker)
        named = (self._problem.tasks[placed.task].order, *(slip.order for slip in found.slips))
        days = {job: self._ready_on(job) for job in (self._problem.orders[n].job for n in named)}
        costs = tuple(self._cost(slip) for slip in found.slips)
        return Said(self._sight.now, until_at, costs, found.missed > 0, days)

    def _ready_on(self, job: int) -> date | None:
        """The day on which the plan has a job ready; None: it has not."""
        order = self._laid.order_of.get(job)
        ready = None if order is None else self._plan.ready[order]
        return None if ready is None else local(self._sight.world.calendar, self._instant(ready)).date()

    def _cost(self, slip: nextup.Slip) -> Cost:
        was = self._plan.ready[slip.order] or 0
        calendar = self._sight.world.calendar
        first, last = (local(calendar, self._instant(m)).date() for m in (was, was + slip.ready_min))
        days = working_days(calendar, first, last)
        due = self._problem.orders[slip.order].due
        kept = due is not None and was <= due
        return Cost(self._tag(slip.order), days, slip.ready_min, slip.late_min > 0 and (kept or days > 0))

    def _spare(self, order: int) -> int | None:
        """Working days from the day a job is ready to its promised date; None where that can't be said."""
        ready, job = self._plan.ready[order], self._sight.world.jobs[self._problem.orders[order].job]
        whole = job.id not in self._laid.not_whole and not any(
            self._problem.tasks[left.task].order == order for left in self._plan.left
        )
        if ready is None or job.promised_on is None or not whole:
            return None
        due, calendar = self._problem.orders[order].due, self._sight.world.calendar
        days = working_days(calendar, local(calendar, self._instant(ready)).date(), job.promised_on)
        return min(days, -1) if due is not None and ready > due else days

    def _cures(self, placed: Placed) -> str:
        stage = self._sight.world.stages[self._problem.tasks[placed.task].stage]
        if not nextup.overnight(self._problem, placed):
            return ""
        if not stage.recipes:
            return "rests"
        return "dries" if in_force(stage.recipes, self._sight.now).kind == "finish" else "cures"

    def _held(self, block: Block, start: int) -> Blocked:
        name = ""
        if block.other is not None:
            if block.why == "resource":
                name = self._problem.resources[block.other].name
                if block.other in self._laid.tool_of.values():
                    return Blocked("edge", name, self._instant(block.until))
            elif block.why == "person":
                name = self._problem.workers[block.other].name
            else:
                name = self._sight.world.stages[self._problem.tasks[block.other].stage].name
        return Blocked(block.why, name, None if block.until == start else self._instant(block.until))

    def _instant(self, minute: int) -> datetime:
        return self._laid.instant(minute)

    def _tag(self, order: int) -> str:
        return self._sight.world.jobs[self._problem.orders[order].job].tag


def next_up(sight: Sight, planned: Planned) -> NextUp:
    """What is next by a plan; the same object again for the same plan, with all that it has worked out."""
    if planned not in _LAST:
        _LAST[planned] = NextUp(sight, planned)
    return _LAST[planned]


def sentence(why: Why, when: When) -> str:
    """Why a stage is next: "it cures overnight; left until tomorrow morning it costs K7 a day"."""
    lead = f"it {why.cures} overnight; " if why.cures else ""
    later = "left until tomorrow morning it" if why.tomorrow else f"left until {when(why.until_at)} it"
    late = [cost for cost in why.costs if cost.late]
    if why.missed:
        return f"{lead}{later} is too late for a wait that must be kept"
    if late:
        return f"{lead}{later} costs {_costs(late)}"
    if why.spare_days is not None and why.spare_days >= 0:
        return f"{lead}keeps {why.tag}’s date{_to_spare(why.spare_days)}"
    if why.costs:
        return f"{lead}{later} costs {_costs(why.costs)}"
    return f"{lead}blocks nothing: free choice"


def words(found: Why | Blocked, when: When) -> str:
    """A reason, or what is waited for, in a sentence."""
    return sentence(found, when) if isinstance(found, Why) else blocked_words(found, when)


def blocked_words(held: Blocked, when: When) -> str:
    """What a stage waits for: "router free 15:00", "glue-up cures until 14:10", "after milling"."""
    at = when(held.until_at) if held.until_at else "then"
    return {
        "resource": f"{held.name} free {at}",
        "edge": f"no edge on the {held.name} until {at}",
        "cure": f"{held.name} cures until {at}",
        "after": f"after {held.name}" + (f", {at}" if held.until_at else ""),
        "person": f"{held.name} is free {at}" if held.name else f"somebody is free {at}",
    }.get(held.why, f"not before {at}" if held.until_at else "not before that day")


def _costs(costs: Sequence[Cost]) -> str:
    """At most two jobs with what each loses: "K7 a day and B3 2 h"."""
    return " and ".join(f"{cost.name} {_amount(cost)}" for cost in costs[:2])


def _amount(cost: Cost) -> str:
    if cost.days == 0:
        return minutes_words(cost.minutes)
    return "a day" if cost.days == 1 else f"{cost.days} days"


def _to_spare(days: int) -> str:
    if days == 0:
        return " to the day"
    return " with a day to spare" if days == 1 else f" with {days} days to spare"


def _first_places(planned: Planned) -> dict[int, Placed]:
    """Of each stage the first of its tasks that is still to begin."""
    tasks = planned.laid.problem.tasks
    found: dict[int, Placed] = {}
    for placed in planned.plan.placed:
        if tasks[placed.task].begun is None:
            found.setdefault(tasks[placed.task].stage, placed)
    return found


_LAST: WeakKeyDictionary[Planned, NextUp] = WeakKeyDictionary()
