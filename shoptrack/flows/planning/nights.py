"""A plan and the log → what cures through a night without hands, and how many clamps a day holds at most."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.schedule.axis import anybody
from shoptrack.engine.shapes import FAR
from shoptrack.engine.shapes.planned import Plan, Uses
from shoptrack.flows.curing import CuringRow, curing_rows
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.planning.lanes import Named, Names, instant_of, is_past
from shoptrack.flows.shopfloor import Sight

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Curing:
    """A glue or finish that cures, or wood that rests, from ``since`` on.

    ``clamps`` are held until somebody is here at or after ``off_at``. ``next_at``: from then the job goes on,
    None where nothing of it waits; ``by_at``: it must by then. ``planned`` False: it cures already.
    """

    named: Named
    since: datetime
    clamps: int
    off_at: datetime | None
    next_at: datetime | None
    by_at: datetime | None
    planned: bool

    @property
    def until_at(self) -> datetime:
        """The last that is drawn of it."""
        return max(at for at in (self.since, self.off_at, self.next_at) if at is not None)


@dataclass(frozen=True, slots=True)
class InUse:
    """Clamps of a reach at the fullest moment of a day: so many of those owned."""

    name: str
    used: int
    owned: int


@dataclass(frozen=True, slots=True)
class Held:
    """So many of a resource, from an instant to an instant."""

    resource: int
    count: int
    start: datetime
    end: datetime


def cures_of(sight: Sight, laid: Laid, plan: Plan, names: Names) -> tuple[Curing, ...]:
    """All that cures now and all that the plan lets cure, by when it begins."""
    now = [_logged(sight, row) for row in curing_rows(sight) if row.last_at and row.last_at < FAR]
    return tuple(sorted([*now, *_planned(laid, plan, names)], key=lambda c: (c.since, c.named.tag)))


def through(cures: Sequence[Curing], night: Span) -> tuple[Curing, ...]:
    """What cures in a night: what holds clamps first, then what goes on soonest."""
    found = [c for c in cures if c.since < night[1] and c.until_at > night[0]]
    return tuple(sorted(found, key=lambda c: (not c.clamps, c.until_at, c.named.tag)))


def _logged(sight: Sight, row: CuringRow) -> Curing:
    place = row.place
    part = f"{place.count:g} of {place.quantity:g}" if place.count is not None else ""
    named = Named(None, place.stage, place.job, place.tag, place.name, part, "", False, False, False)
    waited = [m for m in row.marks if m.from_at < FAR]
    return Curing(
        named=named,
        since=row.since,
        clamps=row.clamps,
        off_at=row.off_at if row.clamps else None,
        next_at=max((m.from_at for m in waited), default=None),
        by_at=min((m.until_at for m in waited if m.until_at), default=None),
        planned=False,
    )


def _planned(laid: Laid, plan: Plan, names: Names) -> Iterator[Curing]:
    waits = _waits(laid)
    for placed in plan.placed:
        task = laid.problem.tasks[placed.task]
        least, greatest = waits.get(placed.task, (0, None))
        wait = max(least, task.tail)
        alone = task.crew == 0 and not task.watched and placed.end > placed.start
        clamps = _clamps(laid, task.keeps)
        logged = is_past(task) or (alone and task.begun is not None)
        if logged or (wait <= 0 and not clamps and not alone):
            continue
        yield Curing(
            named=names.of(placed.task),
            since=instant_of(laid, placed.start if alone else placed.end),
            clamps=clamps,
            off_at=instant_of(laid, placed.end + task.off) if clamps else None,
            next_at=instant_of(laid, placed.end + wait) if wait > 0 or alone else None,
            by_at=None if greatest is None else instant_of(laid, placed.end + greatest),
            planned=True,
        )


def _waits(laid: Laid) -> dict[int, tuple[int, int | None]]:
    """Of each task the longest that one after it must wait, and the shortest that one may."""
    found: dict[int, tuple[int, int | None]] = {}
    for task in laid.problem.tasks:
        for after in task.after:
            least, greatest = found.get(after.task, (0, None))
            most = [g for g in (greatest, after.greatest) if g is not None]
            found[after.task] = (max(least, after.least), min(most, default=None))
    return found


def _clamps(laid: Laid, keeps: Uses) -> int:
    """How many clamps are held: those of the shortest reach named count the longer ones with them."""
    return max((count for resource, count in keeps if resource in laid.pool_of), default=0)


def held_of(laid: Laid, plan: Plan) -> tuple[Held, ...]:
    """Every stretch for which clamps are held by the plan."""
    here = anybody(laid.problem.workers)
    found = []
    for placed in plan.placed:
        task = laid.problem.tasks[placed.task]
        kept_to = placed.end + task.off
        released = here.next(kept_to)
        start = instant_of(laid, placed.start)
        kept_end = instant_of(laid, kept_to if released is None else released)
        used_end = instant_of(laid, placed.end)
        for uses, end in ((task.keeps, kept_end), (task.uses, used_end)):
            found += [Held(r, count, start, end) for r, count in uses if r in laid.pool_of and count]
    return tuple(found)


def in_use(laid: Laid, held: Sequence[Held], day: Span) -> tuple[InUse, ...]:
    """Clamps at the fullest moment of a day, the shortest first; reaches without any used are left out."""
    found = []
    for resource in laid.pool_of:
        own = [h for h in held if h.resource == resource and h.start < day[1] and h.end > day[0]]
        moments = [max(h.start, day[0]) for h in own]
        used = max((sum(h.count for h in own if h.start <= at < h.end) for at in moments), default=0)
        if used:
            of_reach = laid.problem.resources[resource]
            found.append(InUse(of_reach.name, used, of_reach.capacity))
    return tuple(found)
