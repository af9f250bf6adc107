"""The plan → what is worth doing together, and what to put in clamps before going, in the shop's words."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from threading import Lock
from weakref import WeakKeyDictionary

from shoptrack.engine import worthwhile as engine
from shoptrack.engine.cure import reckon
from shoptrack.engine.marks import room_of
from shoptrack.engine.shapes import Stage, in_force
from shoptrack.engine.shapes.planned import Plan
from shoptrack.engine.together import Together
from shoptrack.engine.tonight import Night, cures_overnight
from shoptrack.engine.worthwhile import Group, Tries, Worthwhile
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight
from shoptrack.store.db import Store

SOON = timedelta(minutes=15)
"""What begins so soon may as well be begun now."""
MOST_GROUPS, MOST_IN_ONE, MOST_NIGHTS = 6, 4, 8
"""So much is tried: each try costs two plans."""
LEAST_SAVED_MIN = 5
LEAST_GAIN_MIN = 60
"""A night that gains its own job less than that is not worth saying."""


@dataclass(frozen=True, slots=True)
class PlaceOf:
    """A stage by its job's tag, as a sentence names it."""

    stage: int
    job: int
    tag: str
    name: str


@dataclass(frozen=True, slots=True)
class DoTogether:
    """Stages of several jobs that share a set-up: what is saved, when they begin, and at or with what.

    No promised date moves by it.
    """

    kind: str
    alike: str
    places: tuple[PlaceOf, ...]
    saved_min: int
    start_at: datetime


@dataclass(frozen=True, slots=True)
class BeforeYouGo:
    """A glue-up or coat that can still be closed tonight.

    ``gains_min`` is by how much its job is ready sooner than if it waits; ``date``: a promised date hangs on
    it. It takes ``minutes`` and is closed by ``end_at``.
    """

    place: PlaceOf
    minutes: int
    start_at: datetime
    end_at: datetime
    gains_min: int
    date: bool


@dataclass(frozen=True, slots=True)
class TooCold:
    """A glue-up that could be closed tonight but for the cold: how cold it gets, and what its glue stands."""

    place: PlaceOf
    coldest_c: float
    lowest_c: float


@dataclass(frozen=True, slots=True)
class Hints:
    """What is worth doing, for the plan of this ``number``."""

    number: int
    together: tuple[DoTogether, ...] = ()
    tonight: tuple[BeforeYouGo, ...] = ()
    too_cold: tuple[TooCold, ...] = ()


def tries_of(sight: Sight, planned: Planned) -> Tries:
    """What the engine is to try for the plan that is shown. Empty: no plan, nothing to try."""
    laid, plan = planned.laid, planned.plan
    closing, opening = _tonight(laid)
    curing = () if closing is None else _curing(laid, plan, closing)
    return Tries(
        problem=laid.problem,
        plan=plan,
        groups=tuple(_groups(sight, laid, plan)),
        curing=tuple(n for n, end in curing if not _cold(sight, laid, n, end)),
        closing=closing,
        opening=opening,
    )


def hints_of(sight: Sight, planned: Planned, found: Worthwhile) -> Hints:
    """The engine's answer in the shop's words, with what the cold forbids."""
    laid = planned.laid
    closing, _ = _tonight(laid)
    until = _day_ends(laid)
    cold = () if closing is None else _curing(laid, planned.plan, closing)
    return Hints(
        planned.number,
        tuple(
            _together(sight, laid, one)
            for one in found.together
            if one.saved_min >= LEAST_SAVED_MIN and one.start < until
        ),
        tuple(
            night for one in found.nights if (night := _night(sight, laid, one)).gains_min >= LEAST_GAIN_MIN
        ),
        tuple(each for n, end in cold if (each := _cold(sight, laid, n, end)) is not None),
    )


def _groups(sight: Sight, laid: Laid, plan: Plan) -> Iterator[Group]:
    """Tasks that begin today and are alike, the first of each order, in the order of the plan."""
    alike = defaultdict[object, dict[int, int]](dict)
    until = _day_ends(laid)
    for placed in plan.placed:
        task, piece = laid.problem.tasks[placed.task], laid.pieces[placed.task]
        if task.begun is not None or placed.start >= until or piece.past or piece.part or not task.hands_min:
            continue
        key = _alike(sight.world.stages[piece.stage], sight.now)
        alike[key].setdefault(task.order, placed.task)
    found = [tuple(own.values())[:MOST_IN_ONE] for own in alike.values() if len(own) > 1]
    for tasks in found[:MOST_GROUPS]:
        yield Group(tasks, tuple(_setup_min(sight, laid, n) for n in tasks))


def _day_ends(laid: Laid) -> int:
    """When the last goes home on this day at work, else on the next one; nought where there is none."""
    ends = [(day, end) for w in laid.problem.workers for (_, end), day in zip(w.spans, w.days, strict=True)]
    first = min((day for day, _ in ends), default=0)
    return max((end for day, end in ends if day == first), default=0)


def _alike(stage: Stage, now: datetime) -> object:
    """What one set-up serves: kind, machine, tools, wood, and glue or finish."""
    recipe = in_force(stage.recipes, now).id if stage.recipes else None
    return stage.kind_id, stage.station, frozenset(stage.tools), stage.material, recipe


def _setup_min(sight: Sight, laid: Laid, task: int) -> int:
    """The set-up that is in a task: by rule of thumb, and never more than there is."""
    stage = sight.world.stages[laid.pieces[task].stage]
    setup = in_force(stage.rule, sight.now).setup_min if stage.rule else 0.0
    return min(round(setup), max(laid.problem.tasks[task].hands_min - 1, 0))


def _tonight(laid: Laid) -> tuple[int | None, int | None]:
    """When the last goes home today and when the next comes after; None where nobody is here now."""
    spans = [(s, e, day) for w in laid.problem.workers for (s, e), day in zip(w.spans, w.days, strict=True)]
    today = min((day for s, _, day in spans if s <= 0), default=None)
    if today is None:
        return None, None
    closing = max(e for _, e, day in spans if day == today)
    return closing, min((s for s, _, day in spans if day != today and s > closing), default=None)


def _curing(laid: Laid, plan: Plan, closing: int) -> Iterator[tuple[int, int]]:
    """The next tasks of the plan that cure and could be closed today, and when at the soonest."""
    ends = {p.task: p.end for p in plan.placed}
    found = 0
    for placed in plan.placed:
        task, piece = laid.problem.tasks[placed.task], laid.pieces[placed.task]
        ready = max((ends.get(a.task, closing) + a.least for a in task.after), default=0)
        end = max(ready, task.earliest) + task.work
        theirs = task.begun is None and task.hands_min > 0 and not piece.past
        if theirs and end <= closing and found < MOST_NIGHTS and cures_overnight(laid.problem, placed.task):
            found += 1
            yield placed.task, end


def _cold(sight: Sight, laid: Laid, task: int, end: int) -> TooCold | None:
    """Whether a glue that is closed by a minute gets too cold before its clamps may come off."""
    stage = sight.world.stages[laid.pieces[task].stage]
    if not stage.recipes:
        return None
    recipe, room = in_force(stage.recipes, sight.now), room_of(sight.world, stage)
    readings = tuple(r for r in sight.replayed.readings if r.room == room.id)
    cured = reckon(recipe, room, readings, sight.world.calendar, laid.instant(end))
    if not cured.doubtful or recipe.lowest_c is None:
        return None
    return TooCold(_place(sight, laid, task), cured.coldest_c, recipe.lowest_c)


def _place(sight: Sight, laid: Laid, task: int) -> PlaceOf:
    stage = sight.world.stages[laid.pieces[task].stage]
    return PlaceOf(stage.id, stage.job, sight.world.jobs[stage.job].tag, stage.name)


def _together(sight: Sight, laid: Laid, found: Together) -> DoTogether:
    first = sight.world.stages[laid.pieces[found.tasks[0]].stage]
    station = sight.world.stations.get(first.station) if first.station is not None else None
    recipe = in_force(first.recipes, sight.now).name if first.recipes else ""
    return DoTogether(
        kind=first.kind,
        alike=station.name if station else recipe,
        places=tuple(_place(sight, laid, n) for n in found.tasks),
        saved_min=found.saved_min,
        start_at=laid.instant(found.start),
    )


def _night(sight: Sight, laid: Laid, night: Night) -> BeforeYouGo:
    placed = night.placed
    return BeforeYouGo(
        place=_place(sight, laid, placed.task),
        minutes=placed.end - placed.start,
        start_at=laid.instant(placed.start),
        end_at=laid.instant(placed.end),
        gains_min=night.later_min[laid.problem.tasks[placed.task].order],
        date=night.late_min > 0,
    )


# --- what was found last -------------------------------------------------------------------------------


def keep_hints(store: Store, found: Hints) -> None:
    """Keep what was found last."""
    with _TURN:
        _LAST[store] = found


def hints_shown(store: Store, number: int) -> Hints:
    """What was found for the very plan of a number; nothing while it is being tried."""
    found = _LAST.get(store)
    return found if found is not None and found.number == number else Hints(number)


def startable(hints: Hints, now: datetime) -> Hints:
    """The same with only what may be begun together now."""
    return replace(hints, together=tuple(one for one in hints.together if one.start_at <= now + SOON))


def hints_sign(store: Store) -> int:
    """Another whenever something else was found."""
    found = _LAST.get(store)
    return 0 if found is None else found.number


def try_all(sight: Sight, planned: Planned) -> Hints:
    """Try everything here and now."""
    return hints_of(sight, planned, engine.worthwhile(tries_of(sight, planned)))


_TURN = Lock()
_LAST: "WeakKeyDictionary[Store, Hints]" = WeakKeyDictionary()
