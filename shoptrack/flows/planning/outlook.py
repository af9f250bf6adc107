"""The plan and what was learned → the chance of each open job to keep its date, and what threatens it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from threading import Lock
from weakref import WeakKeyDictionary

from shoptrack.engine.hours import is_working, local, next_opening
from shoptrack.engine.outlook import Ahead, Outlook
from shoptrack.engine.promise import DRAWS, Job, Unsure
from shoptrack.engine.shapes import Calendar
from shoptrack.engine.shapes.promised import NOBODY_COMES, Pace, Promise, Threat
from shoptrack.engine.totals import FIRST_LIKENESS
from shoptrack.flows.learning import Learned
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.spoilage import Spoilage
from shoptrack.store.db import Head, Store


@dataclass(frozen=True, slots=True)
class JobOutlook:
    """What may come of an open job: the days by which 5, 8 and 9 in 10 futures have it ready (None: never).

    ``chance`` is that of keeping the promised date, None where there is none, or where a part of the job
    can't be planned. ``threats`` say what its being late would most depend on.
    """

    job: int
    p50_on: date | None
    p80_on: date | None
    p90_on: date | None
    chance: float | None
    threats: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outlooks:
    """What may come of all open jobs, for the log as it stood at ``head``, reckoned at ``made_at``."""

    head: Head
    made_at: datetime
    of: Mapping[int, JobOutlook]


def ahead_of(
    sight: Sight,
    laid: Laid,
    priority: Sequence[int],
    spoiled: Spoilage,
    given: int,
    taken: Sequence[float] = (),
    pace: Pace = NOBODY_COMES,
) -> Ahead:
    """What is asked of the engine: the first ``given`` orders of a problem, and quotes that may be taken.

    More orders come at a ``pace``, each like one of the jobs that nobody has begun. Method: what was learned
    of a stage is drawn for all its rounds together; so much of it as the shop has had to do again is done
    again. A job's number is its seed.
    """
    known = sight.learned
    return Ahead(
        problem=laid.problem,
        priority=tuple(priority),
        jobs=tuple(_jobs(sight, laid, spoiled, known)),
        given=given,
        likeness=round(known.likeness, 2) if known else FIRST_LIKENESS,
        taken=tuple(taken),
        pace=pace,
        like=tuple(_not_begun(sight, laid)),
        draws=DRAWS,
    )


def _not_begun(sight: Sight, laid: Laid) -> Iterator[int]:
    """The places of jobs of which nothing was begun; what is only offered is none of them."""
    begun = {
        work.job
        for passes in sight.replayed.passes.values()
        for work in passes
        if work.started_at is not None or work.rounds
    }
    for n, order in enumerate(laid.problem.orders):
        if order.job > 0 and order.job not in begun:
            yield n


def _jobs(sight: Sight, laid: Laid, spoiled: Spoilage, known: Learned | None) -> list[Job]:
    tasks_of = defaultdict[int, list[tuple[int, float]]](list)
    for task, shares in enumerate(laid.parts):
        for share in shares:
            tasks_of[share.draw].append((task, share.share / share.people))
    stages = defaultdict[int, list[Unsure]](list)
    for n, draw in enumerate(laid.draws):
        kind = sight.world.stages[draw.stage].kind_id if draw.stage in sight.world.stages else 0
        own = tuple(task for task, _ in tasks_of[n]), tuple(share for _, share in tasks_of[n])
        stages[draw.job].append(Unsure(draw.part, *own, min(spoiled.share_of(kind), 1.0)))
    surprises = known.surprises if known else {}
    return [Job(tuple(each), seed_of(job), surprises.get(job, ())) for job, each in stages.items()]


def seed_of(job: int) -> int:
    """The seed of a job's draws; a quote's, whose number is below nought, is none of any job."""
    return 2 * job if job >= 0 else -2 * job + 1


def outlooks_of(sight: Sight, laid: Laid, found: Outlook, made_at: datetime) -> Outlooks:
    """The engine's answer in the shop's days and words, for the orders that are jobs."""
    jobs = {order.job: n for n, order in enumerate(laid.problem.orders[: len(found.promises)])}
    return Outlooks(
        sight.head,
        made_at,
        {job: _job_outlook(sight, laid, job, found.promises[n], found.threats[n]) for job, n in jobs.items()},
    )


def _job_outlook(
    sight: Sight, laid: Laid, job: int, promise: Promise, threats: Sequence[Threat]
) -> JobOutlook:
    calendar = sight.world.calendar
    return JobOutlook(
        job=job,
        p50_on=day_of(calendar, laid, promise.p50),
        p80_on=day_of(calendar, laid, promise.p80),
        p90_on=day_of(calendar, laid, promise.p90),
        chance=promise.chance if job not in laid.not_whole else None,
        threats=tuple(threat_words(laid, threat) for threat in threats),
    )


def day_of(calendar: Calendar, laid: Laid, minute: int | None) -> date | None:
    """The day on which something is ready: what dries at night is so on the next working day."""
    if minute is None:
        return None
    at = laid.instant(minute)
    if not is_working(calendar, None, at - timedelta(minutes=1)):
        at = next_opening(calendar, None, at) or at
    return local(calendar, at).date()


def threat_words(laid: Laid, threat: Threat) -> str:
    """What a threat is, in words."""
    problem = laid.problem
    if threat.kind == "task":
        task = problem.tasks[threat.place]
        return f"how long “{task.name.removeprefix(problem.orders[task.order].name).strip()}” takes"
    if threat.kind == "order":
        return f"the work on {problem.orders[threat.place].name}"
    name = problem.resources[threat.place].name
    return f"other jobs’ clamps, {name}" if threat.place in laid.pool_of else f"other work at the {name}"


# --- what was found last -----------------------------------------------------------------------------


def keep_outlooks(store: Store, found: Outlooks) -> None:
    """Keep what was reckoned last; an older answer that comes late is dropped."""
    with _TURN:
        last = _LAST.get(store)
        same = last is not None and last.head.database_id == found.head.database_id
        if last is None or not same or last.head.revision <= found.head.revision:
            _LAST[store] = found


def last_outlooks(store: Store, sight: Sight) -> Outlooks | None:
    """What was reckoned last for this database, perhaps a few taps ago; None: nothing was yet."""
    found = _LAST.get(store)
    return found if found is not None and found.head.database_id == sight.head.database_id else None


def outlooks_by_job(store: Store, sight: Sight) -> Mapping[int, JobOutlook]:
    """What was reckoned last, by job, of those that are open still. Empty: nothing was yet."""
    found = last_outlooks(store, sight)
    return {
        job: one
        for job, one in (found.of if found else {}).items()
        if job in sight.world.jobs and sight.world.jobs[job].closed_at is None
    }


_TURN = Lock()
_LAST: "WeakKeyDictionary[Store, Outlooks]" = WeakKeyDictionary()
