"""The stages a person has in hand → what the bench shows of them: glue, counts and the large button."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from shoptrack.engine.cure import open_until, reckon, warmth
from shoptrack.engine.hours import counted, is_working, next_opening
from shoptrack.engine.marks import room_of
from shoptrack.engine.shapes import Entry, MarkTime, Pass, Recipe, Stage, Warmth, in_force
from shoptrack.flows.places import so_far_min
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.usual import usual_min

TAPE_WORDS = {"clamps off": "off", "recoat": "recoat", "wipe": "wipe by", "handle": "handle"}
TAPE_STEP = timedelta(minutes=5)
QUICK_COUNTS = 8

Main = Literal["finish", "closed", "round"]


@dataclass(frozen=True, slots=True)
class Tape:
    """A word and the instant that belongs to it on the line to write on tape."""

    word: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Glue:
    """The glue or finish of a stage, as it would go if it were closed now."""

    recipe: Recipe
    marks: tuple[MarkTime, ...]
    warmth: Warmth
    open_min: float | None


@dataclass(frozen=True, slots=True)
class Line:
    """One of the stages in hand."""

    stage: Stage
    tag: str
    title: str
    settings: tuple[str, ...]
    clamps: tuple[tuple[int, str], ...]
    station: str
    tools: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hand:
    """What a person has in hand: several stages when they are done together, none for shop time.

    ``minutes`` are of this stretch, ``so_far_min`` all that was worked on the stages, as the Floor says it.
    ``usual_min`` has one set-up for what is done together. ``left`` is what is not yet in
    rounds, ``count`` what the large button would add. ``spread_at`` is set
    while glue is spread and not yet closed; ``open_until`` ends its open time.
    """

    since: datetime
    minutes: float
    so_far_min: float = 0.0
    usual_min: float = 0.0
    stages: tuple[Line, ...] = ()
    shop: str = ""
    main: Main = "finish"
    count: float | None = None
    left: float = 0.0
    counts: tuple[int, ...] = ()
    others: tuple[str, ...] = ()
    running: bool = False
    glue: Glue | None = None
    tape: tuple[Tape, ...] = ()
    spread_at: datetime | None = None
    open_until: datetime | None = None
    told: str = ""
    back_to: tuple[tuple[int, str], ...] = ()
    helpers: tuple[tuple[int, str], ...] = ()

    @property
    def first(self) -> Line:
        """The stage that the page is headed with."""
        return self.stages[0]


def in_hand(sight: Sight, live: list[Entry], person: int, now: datetime) -> Hand | None:
    """What a person has in hand at an instant; None when nothing. ``live`` are the entries that count."""
    at = sight.replayed.people.get(person)
    if at is None:
        return None
    stages = [sight.world.stages[s] for s in at.stages if s in sight.world.stages]
    if not stages:
        return shop_hand(sight, person, at.shop or "shop time", at.since, now)
    return _hand(sight, stages, person, at.since, _spread_at(live, at.stages, at.since), now)


def if_started(sight: Sight, stage: int, person: int, now: datetime) -> Hand:
    """What the bench would show if a stage were started now: kept by the tablet for when it is alone."""
    return _hand(sight, [sight.world.stages[stage]], person, now, None, now)


def shop_hand(sight: Sight, person: int, shop: str, since: datetime, now: datetime) -> Hand:
    """Shop time in hand: no stages, so nothing to count or cure."""
    minutes = _minutes(sight, person, since, now)
    return Hand(since=since, shop=shop, minutes=minutes, so_far_min=minutes, helpers=_helpers(sight, person))


def _hand(
    sight: Sight,
    stages: list[Stage],
    person: int,
    since: datetime,
    spread_at: datetime | None,
    now: datetime,
) -> Hand:
    stage, work = stages[0], sight.replayed.current(stages[0].id)
    left = max(0.0, work.quantity - sum(r.count for r in work.rounds))
    main, count = _main(sight, stage, work, left, alone=len(stages) == 1)
    open_at = (
        open_until(_recipe(stage, now), _warmth(sight, stage, spread_at).c, spread_at) if spread_at else None
    )
    return Hand(
        so_far_min=so_far_min(sight, person, tuple(s.id for s in stages)),
        usual_min=usual_min(sight, tuple(s.id for s in stages)),
        stages=tuple(line_of(sight, s) for s in stages),
        since=since,
        main=main,
        count=count,
        left=left,
        counts=tuple(range(1, min(QUICK_COUNTS, int(left)) + 1)) if count else (),
        others=_others(sight, person, stage),
        running=work.running,
        glue=glue_of(sight, stage, now),
        tape=tape_of(sight, stage, now),
        spread_at=spread_at,
        open_until=open_at,
        told=work.rounds[-1].told if work.rounds else "",
        minutes=_minutes(sight, person, since, now),
        back_to=_back_to(sight, stage),
        helpers=_helpers(sight, person),
    )


def _minutes(sight: Sight, person: int, since: datetime, now: datetime) -> float:
    """Minutes of a stretch that count: breaks and closed nights don't."""
    spans = counted(sight.world.calendar, person, since, now)
    return sum((end - start).total_seconds() for start, end in spans) / 60


def _helpers(sight: Sight, person: int) -> tuple[tuple[int, str], ...]:
    return tuple((p.id, p.name) for p in sight.world.people.values() if p.id != person and not p.retired)


def _main(sight: Sight, stage: Stage, work: Pass, left: float, alone: bool) -> tuple[Main, float | None]:
    """The large button: closed or round while there is some left to close, else finish."""
    cures = bool(stage.recipes)
    if stage.rounds and left > 0 and alone:
        return ("closed" if cures else "round"), min(left, _next_count(sight, stage, work, left))
    if cures and not work.rounds:
        return "closed", None
    return "finish", None


def _next_count(sight: Sight, stage: Stage, work: Pass, left: float) -> float:
    """How much the next round is likely to be: what the free clamps hold, else as the last, else one."""
    free = sight.replayed.free_clamps
    holds = [free.get(need.pool, 0) // need.count for need in stage.clamps if need.per_piece]
    if holds and min(holds) > 0:
        return float(min(holds))
    newest = work.rounds[-1].count if work.rounds else 0
    return newest or (1.0 if stage.unit == "coats" or not stage.recipes else left)


def line_of(sight: Sight, stage: Stage) -> Line:
    """A stage with what it is done by: its settings a line each, the clamps to set out, its station."""
    world, job = sight.world, sight.world.jobs[stage.job]
    return Line(
        stage=stage,
        tag=job.tag,
        title=job.title,
        settings=tuple(line.strip() for line in stage.settings.splitlines() if line.strip()),
        clamps=tuple((need.count, world.pools[need.pool].name) for need in stage.clamps),
        station=_station(sight, stage),
        tools=tuple(world.tools[tool] for tool in stage.tools if tool in world.tools),
    )


def _station(sight: Sight, stage: Stage) -> str:
    station = sight.world.stations.get(stage.station) if stage.station is not None else None
    return station.name if station else ""


def _others(sight: Sight, person: int, stage: Stage) -> tuple[str, ...]:
    at_it = [p for p, now in sight.replayed.people.items() if stage.id in now.stages and p != person]
    return tuple(sight.world.people[p].name for p in at_it)


def _back_to(sight: Sight, stage: Stage) -> tuple[tuple[int, str], ...]:
    """The stages that spoiled pieces may go back to: this one and those before it, nearest first."""
    job = [s for s in sight.world.stages.values() if s.job == stage.job and not s.removed]
    own = [s for s in job if s.position <= stage.position]
    return tuple((s.id, s.name) for s in sorted(own, key=lambda s: -s.position))


def _spread_at(live: list[Entry], stages: tuple[int, ...], since: datetime) -> datetime | None:
    """When glue was spread on any of them, if nothing was closed since."""
    spread_at = None
    for e in live:
        if e.at < since or not set(e.stages) & set(stages):
            continue
        if e.kind == "spread":
            spread_at = e.at
        elif e.kind in ("closed", "round", "finish"):
            spread_at = None
    return spread_at


def _recipe(stage: Stage, now: datetime) -> Recipe:
    return in_force(stage.recipes, now)


def _warmth(sight: Sight, stage: Stage, at: datetime) -> Warmth:
    room = room_of(sight.world, stage)
    readings = [r for r in sight.replayed.readings if r.room == room.id]
    return warmth(room, readings, sight.world.calendar, at)


def glue_of(sight: Sight, stage: Stage, now: datetime) -> Glue | None:
    """The glue or finish of a stage with its marks if it were closed now; None for a stage without."""
    if not stage.recipes:
        return None
    recipe, room = _recipe(stage, now), room_of(sight.world, stage)
    readings = [r for r in sight.replayed.readings if r.room == room.id]
    cure = reckon(recipe, room, readings, sight.world.calendar, now)
    warm = _warmth(sight, stage, now)
    ends = open_until(recipe, warm.c, now)
    return Glue(recipe, cure.marks, warm, (ends - now).total_seconds() / 60 if ends else None)


def tape_of(sight: Sight, stage: Stage, closed_at: datetime) -> tuple[Tape, ...]:
    """The instants for the line on the tape, if the stage is closed at an instant.

    What opens is rounded up to five minutes, what ends down; work starts when the shop is open.
    """
    glue = glue_of(sight, stage, closed_at)
    if glue is None:
        return ()
    found = [_tape(sight, stage, mark) for mark in glue.marks]
    return tuple(sorted((each for each in found if each), key=lambda each: each.at))


def _tape(sight: Sight, stage: Stage, mark: MarkTime) -> Tape | None:
    role = mark.mark.role
    if role == "work" and mark.from_at:
        calendar, at = sight.world.calendar, _up(mark.from_at)
        opens = at if is_working(calendar, None, at) else next_opening(calendar, None, at)
        return Tape(_next_kind(sight, stage), opens or at)
    at_ = mark.from_at if role != "wipe" else mark.until_at
    if role not in TAPE_WORDS or at_ is None:
        return None
    return Tape(TAPE_WORDS[role], _up(at_) if role != "wipe" else _up(at_) - TAPE_STEP)


def _next_kind(sight: Sight, stage: Stage) -> str:
    after = (s.kind for s in sight.world.stages.values() if any(n.stage == stage.id for n in s.needs))
    return next(after, "work")


def _up(at: datetime) -> datetime:
    """Rounded up to whole five minutes: nobody writes 14:07 on tape."""
    over = timedelta(minutes=at.minute % 5, seconds=at.second, microseconds=at.microsecond)
    return at if not over else at - over + TAPE_STEP
