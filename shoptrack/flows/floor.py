"""What is known of the shop becomes the Floor: what must not be missed, cures, people, what is next."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from shoptrack.engine.hours import instant, is_working, local, open_day
from shoptrack.engine.shapes import FAR, Question, Until, Warmth, in_force
from shoptrack.engine.states import hands_at, nobody_here
from shoptrack.engine.warmth import warmth
from shoptrack.flows.choices import Choice, choices, next_waiting
from shoptrack.flows.curing import CuringRow, curing_rows
from shoptrack.flows.places import Place, cautions_of, place_of, usual_min
from shoptrack.flows.shopfloor import Sight

SOON = timedelta(minutes=60)  # a mark this near is drawn strong, with a dial
AHEAD = timedelta(hours=36)  # a mark further off is left to the curing rows
DAYS_DRAWN = 3
UNTILS_SHOWN = 6
CURING_SHOWN = 9
READY_SHOWN = 6
WAITING_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Miss:
    """A mark that ends and needs hands; ``soon`` within the hour, ``missed`` when it is past."""

    place: Place
    name: str
    role: str
    from_at: datetime | None
    until_at: datetime
    soon: bool
    missed: bool
    caution: str


@dataclass(frozen=True, slots=True)
class Running:
    """A machine at work: when its program ends and when it needs hands; ``alone``: nobody is here."""

    place: Place
    station: str
    ends_at: datetime | None
    hands_at: tuple[datetime, ...]
    alone: bool


@dataclass(frozen=True, slots=True)
class AtWork:
    """A person with what they have in hand (stages together, or shop time) and what is next for them.

    ``minutes`` are all that was worked on the stages so far against ``usual_min`` by rule of thumb.
    """

    person: int
    name: str
    here: bool
    stages: tuple[Place, ...]
    shop: str
    since: datetime | None
    minutes: float
    usual_min: float | None
    cautions: tuple[str, ...]
    after: Choice | None


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with the job and stage it is about; ``coldest_c`` where a joint was too cold."""

    question: Question
    tag: str
    title: str
    stage: str
    coldest_c: float | None


@dataclass(frozen=True, slots=True)
class Hanging:
    """Clamps of one pool: free on the wall of those owned."""

    name: str
    free: int
    owned: int


@dataclass(frozen=True, slots=True)
class RoomWarmth:
    """How warm a room is."""

    name: str
    warmth: Warmth


@dataclass(frozen=True, slots=True)
class FloorView:
    """Everything on the Floor at an instant; an empty part is not drawn."""

    at: datetime
    open_jobs: int
    misses: tuple[Miss, ...]
    misses_more: int
    alone: tuple[Running, ...]
    doubts: tuple[Asked, ...]
    curing: tuple[CuringRow, ...]
    curing_more: int
    people: tuple[AtWork, ...]
    ready: tuple[Choice, ...]
    ready_more: int
    waiting: tuple[Choice, ...]
    waiting_more: int
    running: tuple[Running, ...]
    questions: tuple[Asked, ...]
    pools: tuple[Hanging, ...]
    rooms: tuple[RoomWarmth, ...]
    open_spans: tuple[tuple[datetime, datetime], ...]
    midnights: tuple[datetime, ...]


def floor(sight: Sight) -> FloorView:
    """The Floor at the sight's instant.

    Empty: a shop with no open job has people, clamps and warmth only.
    """
    misses = tuple(misses_of(sight))
    # a joint in doubt that holds no clamps is asked about above, and has nothing to draw
    curing = tuple(row for row in curing_rows(sight) if row.clamps or not row.doubtful)
    ready = tuple(choices(sight, ("ready", "set down")))
    waiting = tuple(next_waiting(sight))
    running = tuple(running_of(sight))
    asked = tuple(questions_of(sight))
    return FloorView(
        at=sight.now,
        open_jobs=sum(1 for j in sight.world.jobs.values() if j.closed_at is None),
        misses=misses[:UNTILS_SHOWN],
        misses_more=max(0, len(misses) - UNTILS_SHOWN),
        alone=tuple(r for r in running if r.alone),
        doubts=tuple(a for a in asked if a.question.asks in ("doubtful-joint", "open-time")),
        curing=curing[:CURING_SHOWN],
        curing_more=max(0, len(curing) - CURING_SHOWN),
        people=tuple(people_of(sight, ready)),
        ready=ready[:READY_SHOWN],
        ready_more=max(0, len(ready) - READY_SHOWN),
        waiting=waiting[:WAITING_SHOWN],
        waiting_more=max(0, len(waiting) - WAITING_SHOWN),
        running=running,
        questions=asked,
        pools=tuple(pools_of(sight)),
        rooms=tuple(rooms_of(sight)),
        open_spans=tuple(span for on in days_ahead(sight) if (span := open_day(sight.world.calendar, on))),
        midnights=tuple(instant(sight.world.calendar, on, time(0)) for on in days_ahead(sight)),
    )


def days_ahead(sight: Sight) -> tuple[date, ...]:
    """The local days that the curing may reach into: today and the two after it."""
    today = local(sight.world.calendar, sight.now).date()
    return tuple(today + timedelta(days=n) for n in range(DAYS_DRAWN))


def misses_of(sight: Sight) -> Iterator[Miss]:
    """The marks that end within a day and a half and need hands, soonest first; missed ones lead."""
    for until in sight.untils:
        ends = until.mark.until_at
        if ends is not None and ends <= sight.now + AHEAD and _needs_hands(until):
            yield Miss(
                place=place_of(sight, until.stage, until.round),
                name=until.mark.mark.name,
                role=until.mark.mark.role,
                from_at=until.mark.from_at,
                until_at=ends,
                soon=ends <= sight.now + SOON,
                missed=until.missed,
                caution=until.mark.mark.caution,
            )


def _needs_hands(until: Until) -> bool:
    return until.mark.mark.needs_hands or until.mark.mark.role == "recoat"


def running_of(sight: Sight) -> Iterator[Running]:
    """The machines at work, first to end first."""
    nobody = nobody_here(sight.replayed, sight.world)
    found = [s for s in sight.standings.values() if s.state == "running"]
    for standing in sorted(found, key=lambda s: s.until_at or FAR):
        stage = sight.world.stages[standing.stage]
        station = sight.world.stations.get(stage.station) if stage.station is not None else None
        hands = tuple(at for at in hands_at(stage, standing.work) if at > sight.now)
        place = place_of(sight, stage.id)
        yield Running(place, station.name if station else "machine", standing.until_at, hands, nobody)


def people_of(sight: Sight, ready: tuple[Choice, ...]) -> Iterator[AtWork]:
    """Everybody who works here; each who is here gets the first ready stage that nobody before was given."""
    left = list(ready)
    for person in sight.world.people.values():
        if person.retired:
            continue
        now = sight.replayed.people.get(person.id)
        stages = tuple(s for s in now.stages if s in sight.world.stages) if now else ()
        here = now is not None or is_working(sight.world.calendar, person.id, sight.now)
        after = next((c for c in left if c.place.stage not in stages), None) if here else None
        if after:
            left.remove(after)
        yield AtWork(
            person=person.id,
            name=person.name,
            here=here,
            stages=tuple(place_of(sight, s) for s in stages),
            shop=(now.shop or "shop time") if now and not stages else "",
            since=now.since if now else None,
            minutes=_minutes(sight, person.id, stages),
            usual_min=usual_min(sight, stages) if stages else None,
            cautions=tuple(
                dict.fromkeys(c for s in stages for c in cautions_of(sight.world.stages[s], sight.now))
            ),
            after=after,
        )


def _minutes(sight: Sight, person: int, stages: tuple[int, ...]) -> float:
    """Minutes on the stages in hand so far, everybody's; of shop time, the stretch that is open."""
    if stages:
        return sum(sight.replayed.current(s).attended_min for s in stages)
    return sum(s.minutes for s in sight.replayed.shop_time if s.person == person and s.end is None)


def questions_of(sight: Sight) -> Iterator[Asked]:
    """What the Floor asks: everything but the soft ones, which the Bench offers."""
    for question in sight.questions:
        if not question.soft:
            stage = sight.world.stages.get(question.stages[0]) if question.stages else None
            job = sight.world.jobs.get(stage.job if stage else question.job or 0)
            cold = _coldest_c(sight, question) if question.asks == "doubtful-joint" else None
            tag, title = (job.tag, job.title) if job else ("", "")
            yield Asked(question, tag, title, stage.name if stage else "", cold)


def _coldest_c(sight: Sight, question: Question) -> float | None:
    cures = sight.standings[question.stages[0]].cures
    return next((cured.coldest_c for made, cured in cures if made.entry == question.of), None)


def pools_of(sight: Sight) -> Iterator[Hanging]:
    """The clamps on the wall, shortest reach first."""
    for pool in sorted(sight.world.pools.values(), key=lambda p: p.reach_mm):
        owned = in_force(pool.owned, sight.now) if pool.owned else 0
        yield Hanging(pool.name, sight.replayed.free_clamps.get(pool.id, owned), owned)


def rooms_of(sight: Sight) -> Iterator[RoomWarmth]:
    """How warm each room is, by reading or as usual at this hour."""
    for room in sight.world.rooms.values():
        readings = tuple(r for r in sight.replayed.readings if r.room == room.id)
        yield RoomWarmth(room.name, warmth(room, readings, sight.world.calendar, sight.now))
