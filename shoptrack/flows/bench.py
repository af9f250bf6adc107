"""How the shop stands → one person's bench: what is in hand, else the one thing to do next, and the rest."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.hours import is_working
from shoptrack.engine.replay import live_entries
from shoptrack.engine.shapes import Entry, Stage, Standing, Wait
from shoptrack.engine.states import complete
from shoptrack.errors import NotFound
from shoptrack.flows.asked import Asked, asked_of_person
from shoptrack.flows.earlier import Earlier, earlier
from shoptrack.flows.in_hand import Hand, Line, in_hand, line_of
from shoptrack.flows.planning.next_up import Blocked, NextUp, Slot, Why
from shoptrack.flows.put_aside import Away, put_aside
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.still_on import Held, Tend, held, tends
from shoptrack.flows.tooling.soon import without_edge
from shoptrack.flows.usual import usual_min

SHOP_THINGS = ("sweeping", "phone", "honing", "jigs", "ordering", "other")
CHOICES_SHOWN = 30
WAITING_SHOWN = 24


@dataclass(frozen=True, slots=True)
class Name:
    """A person on the row of names, with what they are at: "milling K7", "sweeping", "free", "home"."""

    person: int
    name: str
    doing: str
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class WaitsFor:
    """One thing that a stage waits for, by name; ``glue``: what cures there is in clamps."""

    why: str
    name: str
    glue: bool
    until_at: datetime | None
    count: int | None


@dataclass(frozen=True, slots=True)
class Choice:
    """A stage that may be started: why now, or what it waits for and until when.

    ``early`` True: starting is questioned first. ``then`` are the stages that wait for this one. ``no_edge``
    names the tools that it needs of which no edge may be used now.
    """

    stage: Stage
    tag: str
    title: str
    promised_on: date | None
    usual_min: float
    waits: tuple[WaitsFor, ...]
    until_at: datetime | None
    early: bool
    ready_count: float
    started: bool
    others: tuple[str, ...]
    then: tuple[str, ...]
    no_edge: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Last:
    """The person's last tap that was not struck: what a strike or "that was Ann" would undo.

    ``finished``: the stages that it finished, which may be kept for next time.
    """

    id: str
    words: str
    at: datetime
    finished: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Coming:
    """What the plan gives a person next though it can't be started yet, and when."""

    choice: Choice
    slot: Slot


@dataclass(frozen=True, slots=True)
class BenchView:
    """One person's bench at an instant.

    ``questions`` only this person can answer; ``asked`` is what else may be answered here. ``pools`` have
    their id, name and how many clamps the log says hang on the wall. ``first``: what the first choice needs,
    ``because`` why it comes first. ``coming`` is what the plan has next where that can't be started yet.
    """

    person: int
    name: str
    names: tuple[Name, ...]
    hand: Hand | None
    choices: tuple[Choice, ...]
    first: Line | None
    waiting: tuple[Choice, ...]
    questions: tuple[Asked, ...]
    asked: tuple[Asked, ...]
    held: tuple[Held, ...]
    tends: tuple[Tend, ...]
    asides: tuple[Away, ...]
    last: Last | None
    earlier: tuple[Earlier, ...]
    shop_things: tuple[str, ...]
    rooms: tuple[tuple[int, str], ...]
    pools: tuple[tuple[int, str, int], ...]
    database_id: str
    revision: int
    now: datetime
    because: Why | Blocked | None = None
    coming: Coming | None = None


def bench(sight: Sight, person: int, now: datetime, up: NextUp | None = None) -> BenchView:
    """One person's bench, by the plan ``up``; where there is none what was promised first comes first.

    Raises NotFound when nobody of that number works here.
    """
    who = sight.world.people.get(person)
    if who is None or who.retired:
        raise NotFound("Nobody of that number works here.")
    live = live_entries(sight.entries)
    up = up if up is not None and up.knows else None
    choices = tuple(choices_of(sight, person, now, up))
    questions, asked = asked_of_person(sight, person)
    free = tuple(c for c in choices if not c.early)
    hand = in_hand(sight, live, person, now)
    return BenchView(
        person=person,
        name=who.name,
        names=names(sight, now),
        hand=hand,
        choices=free[:CHOICES_SHOWN],
        first=line_of(sight, free[0].stage) if free else None,
        waiting=tuple(c for c in choices if c.early)[:WAITING_SHOWN],
        questions=questions,
        asked=asked,
        held=tuple(held(sight, now)),
        tends=tuple(tends(sight)),
        asides=put_aside(sight),
        last=last_of(sight, live, person),
        earlier=earlier(sight, person, now),
        shop_things=SHOP_THINGS,
        rooms=tuple((r.id, r.name) for r in sight.world.rooms.values()),
        pools=_pools(sight),
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=now,
        because=up.because(person, free[0].stage.id) if up and free and not hand else None,
        coming=_coming(up, person, choices) if up else None,
    )


def _coming(up: NextUp, person: int, choices: tuple[Choice, ...]) -> Coming | None:
    """What the plan gives a person next, where it is among what can't be started yet."""
    stage = up.next_for(person)
    found = next((c for c in choices if c.stage.id == stage and c.early), None)
    slot = up.slot(found.stage.id) if found else None
    return Coming(found, slot) if found and slot else None


def _pools(sight: Sight) -> tuple[tuple[int, str, int], ...]:
    by_reach = sorted(sight.world.pools.values(), key=lambda p: p.reach_mm)
    return tuple((p.id, p.name, sight.replayed.free_clamps.get(p.id, 0)) for p in by_reach)


def names(sight: Sight, now: datetime) -> tuple[Name, ...]:
    """The row of names with what each is at."""
    return tuple(_name(sight, p.id, p.name, now) for p in sight.world.people.values() if not p.retired)


def _name(sight: Sight, person: int, name: str, now: datetime) -> Name:
    at = sight.replayed.people.get(person)
    if at is None:
        return Name(person, name, "free" if is_working(sight.world.calendar, person, now) else "home")
    if not at.stages:
        return Name(person, name, at.shop or "shop time", at.since)
    stages = [sight.world.stages[s] for s in at.stages if s in sight.world.stages]
    tags = " ".join(dict.fromkeys(sight.world.jobs[s.job].tag for s in stages))
    return Name(person, name, f"{stages[0].kind if stages else ''} {tags}".strip(), at.since)


def choices_of(sight: Sight, person: int, now: datetime, up: NextUp | None = None) -> Iterator[Choice]:
    """What a person may start, in the plan's order for them, without one what was promised first.

    Done, put aside and one's own are left out.
    """
    at = sight.replayed.people.get(person)
    own = at.stages if at else ()
    open_ones = [
        s
        for s in sight.standings.values()
        if s.state not in ("done", "put aside") and s.stage not in own and not _cures_by_itself(sight, s)
    ]
    ranks = {s.stage: _rank(s, person, up) for s in open_ones}
    for standing in sorted(open_ones, key=lambda s: (ranks[s.stage], _urgency(sight, s))):
        yield _choice(sight, standing, now)


def _rank(standing: Standing, person: int, up: NextUp | None) -> tuple[int, int]:
    """Where a stage comes; one that waits never before what it waits for, whoever is to do either."""
    if up is None:
        return (0, 0)
    return up.start(standing.stage) if standing.state == "waiting" else up.rank(person, standing.stage)


def _cures_by_itself(sight: Sight, standing: Standing) -> bool:
    """Nothing is left to do on it but to wait."""
    rests = sight.world.stages[standing.stage].attendance == "none"
    return standing.state == "curing" and (rests or complete(standing.work))


def _urgency(sight: Sight, standing: Standing) -> tuple[date, int, int]:
    stage = sight.world.stages[standing.stage]
    return (sight.world.jobs[stage.job].promised_on or date.max, stage.job, stage.position)


def _choice(sight: Sight, standing: Standing, now: datetime) -> Choice:
    world, stage = sight.world, sight.world.stages[standing.stage]
    job, no_edge = world.jobs[stage.job], without_edge(sight, stage)
    return Choice(
        stage=stage,
        tag=job.tag,
        title=job.title,
        promised_on=job.promised_on,
        usual_min=usual_min(sight, (stage.id,)),
        waits=tuple(_waits_for(sight, wait) for wait in standing.waits),
        until_at=standing.until_at,
        early=standing.state in ("waiting", "curing") or bool(no_edge),
        ready_count=standing.ready_count if standing.ready_count < standing.work.quantity else 0,
        started=standing.work.started_at is not None,
        others=tuple(world.people[p].name for p in standing.people if p in world.people),
        then=tuple(s.name for s in sight.followers.get(stage.id, ())),
        no_edge=no_edge,
    )


def _waits_for(sight: Sight, wait: Wait) -> WaitsFor:
    stage = sight.world.stages.get(wait.stage) if wait.stage is not None else None
    if stage is None:
        return WaitsFor(wait.why, "", False, wait.until_at, wait.count)
    name = stage.name
    if wait.why in ("station", "clamps"):
        name = f"{sight.world.jobs[stage.job].tag} {stage.name}"
    return WaitsFor(wait.why, name, bool(stage.clamps), wait.until_at, wait.count)


def last_of(sight: Sight, live: list[Entry], person: int) -> Last | None:
    """The person's last tap that stands, in the words of the book."""
    own = [e for e in live if e.person == person]
    if not own:
        return None
    e = max(own, key=lambda each: (each.tapped_at or each.at, each.device, each.seq))
    return Last(e.id, _words(sight, e), e.at, tuple(e.stages) if e.kind == "finish" else ())


def _words(sight: Sight, e: Entry) -> str:
    known = [sight.world.stages[s] for s in e.stages if s in sight.world.stages]
    tags = " ".join(dict.fromkeys(sight.world.jobs[s.job].tag for s in known))
    name = known[0].name if len(known) == 1 else ""
    return " ".join(part for part in (e.kind, tags, name, e.text if not e.stages else "", e.choice) if part)
