"""What is known of the shop becomes the Floor: what must not be missed, cures, people, what is next."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from shoptrack.engine.hours import instant, is_working, local, next_opening, open_day
from shoptrack.engine.shapes import FAR, Until, Warmth, in_force
from shoptrack.engine.states import hands_at, nobody_here
from shoptrack.engine.warmth import warmth
from shoptrack.flows.asked import Asked, asked_of
from shoptrack.flows.choices import Choice, choice_of, choices, next_waiting
from shoptrack.flows.curing import CuringRow, curing_rows
from shoptrack.flows.places import Place, cautions_of, place_of, so_far_min
from shoptrack.flows.planning.next_up import Blocked, NextUp, Slot, Why
from shoptrack.flows.put_aside import Away, look_again
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.usual import usual_min

SOON = timedelta(minutes=60)  # a mark this near is drawn strong, with a dial
AHEAD = timedelta(hours=36)  # a mark further off is left to the curing rows
DAYS_DRAWN = 3
NOT_TO_BE_MISSED = 4  # one row on a tablet that lies: marks, joints in doubt and machines left alone
MISSED_SHOWN = 3
CURING_SHOWN = 6
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

    ``minutes`` are all that was worked on the stages so far against the ``usual_min``.
    ``left_on``: it runs so long that the Bench asks whether it was worked all that time. ``slot`` is when the
    plan has what comes ``after``, and ``because`` why; None where nothing is planned.
    """

    person: int
    name: str
    here: bool
    stages: tuple[Place, ...]
    shop: str
    since: datetime | None
    left_on: bool
    minutes: float
    usual_min: float | None
    cautions: tuple[str, ...]
    after: Choice | None
    slot: Slot | None = None
    because: Why | Blocked | None = None


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
    """Everything on the Floor at an instant; an empty part is not drawn.

    ``missed`` are marks that are past; ``opens_at`` is the next opening while nobody should be here.
    ``slots`` are when the plan has the stages that are ready, None where there is no plan.
    """

    at: datetime
    opens_at: datetime | None
    open_jobs: int
    misses: tuple[Miss, ...]
    misses_more: int
    missed: tuple[Miss, ...]
    missed_more: int
    curing: tuple[CuringRow, ...]
    curing_more: int
    people: tuple[AtWork, ...]
    ready: tuple[Choice, ...]
    ready_more: int
    waiting: tuple[Choice, ...]
    waiting_more: int
    running: tuple[Running, ...]
    questions: tuple[Asked, ...]
    look_again: tuple[Away, ...]
    pools: tuple[Hanging, ...]
    rooms: tuple[RoomWarmth, ...]
    open_spans: tuple[tuple[datetime, datetime], ...]
    midnights: tuple[datetime, ...]
    slots: Mapping[int, Slot] | None = None

    @property
    def alone(self) -> tuple[Running, ...]:
        """The machines at work with nobody here."""
        return tuple(r for r in self.running if r.alone)

    @property
    def doubts(self) -> tuple[Asked, ...]:
        """The joints that somebody must judge."""
        return joints(self.questions)


def floor(sight: Sight, up: NextUp | None = None) -> FloorView:
    """The Floor at the sight's instant, by the plan ``up``; where there is none, by promised dates.

    Empty: a shop with no open job has people, clamps and warmth only.
    """
    up = up if up is not None and up.knows else None
    marks = tuple(misses_of(sight))
    misses, missed = [m for m in marks if not m.missed], [m for m in marks if m.missed]
    # a joint in doubt that holds no clamps is asked about above, and has nothing to draw
    curing = tuple(row for row in curing_rows(sight) if row.clamps or not row.doubtful)
    ready = ready_of(sight, up)
    waiting = tuple(next_waiting(sight))
    running = tuple(running_of(sight))
    people = tuple(people_of(sight, ready, up))
    asked = tuple(a for a in asked_of(sight) if not a.question.soft)
    room = max(1, NOT_TO_BE_MISSED - sum(r.alone for r in running) - len(joints(asked)))
    return FloorView(
        at=sight.now,
        opens_at=opens_at(sight, people),
        open_jobs=sum(1 for j in sight.world.jobs.values() if j.closed_at is None),
        misses=tuple(misses[:room]),
        misses_more=max(0, len(misses) - room),
        missed=tuple(missed[-MISSED_SHOWN:]),
        missed_more=max(0, len(missed) - MISSED_SHOWN),
        curing=curing[:CURING_SHOWN],
        curing_more=max(0, len(curing) - CURING_SHOWN),
        people=people,
        ready=ready[:READY_SHOWN],
        ready_more=max(0, len(ready) - READY_SHOWN),
        waiting=waiting[:WAITING_SHOWN],
        waiting_more=max(0, len(waiting) - WAITING_SHOWN),
        running=running,
        questions=asked,
        look_again=look_again(sight),
        pools=tuple(pools_of(sight)),
        rooms=tuple(rooms_of(sight)),
        open_spans=tuple(span for on in days_ahead(sight) if (span := open_day(sight.world.calendar, on))),
        midnights=tuple(instant(sight.world.calendar, on, time(0)) for on in days_ahead(sight)),
        slots=slots_of(ready[:READY_SHOWN], up) if up else None,
    )


def ready_of(sight: Sight, up: NextUp | None) -> tuple[Choice, ...]:
    """What is ready, in the order of the plan; what is not planned comes last, by promised date."""
    ready = choices(sight, ("ready", "set down"))
    return tuple(sorted(ready, key=lambda c: up.start(c.place.stage)) if up else ready)


def slots_of(ready: tuple[Choice, ...], up: NextUp) -> Mapping[int, Slot]:
    """When the plan has each of some stages."""
    slots = (up.slot(c.place.stage) for c in ready)
    return {slot.stage: slot for slot in slots if slot is not None}


def joints(asked: tuple[Asked, ...]) -> tuple[Asked, ...]:
    """Of what is asked, the joints that somebody must judge."""
    return tuple(a for a in asked if a.question.asks in ("doubtful-joint", "open-time"))


def opens_at(sight: Sight, people: tuple[AtWork, ...]) -> datetime | None:
    """When the shop opens next, while nobody is here; None while somebody is."""
    return None if any(p.here for p in people) else next_opening(sight.world.calendar, None, sight.now)


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


def people_of(sight: Sight, ready: tuple[Choice, ...], up: NextUp | None = None) -> Iterator[AtWork]:
    """Everybody who works here; each who is here has what the plan gives them next.

    Without a plan it is the first ready stage that nobody before was given.
    """
    left = list(ready)
    doubted = {q.person for q in sight.questions if q.asks == "still-on"}
    for person in sight.world.people.values():
        if person.retired:
            continue
        now = sight.replayed.people.get(person.id)
        stages = tuple(s for s in now.stages if s in sight.world.stages) if now else ()
        left_on = now is not None and person.id in doubted
        here = is_working(sight.world.calendar, person.id, sight.now) or (now is not None and not left_on)
        after = _after(sight, left, person.id, stages, up) if here else None
        if after in left:
            left.remove(after)
        yield AtWork(
            person=person.id,
            name=person.name,
            here=here,
            stages=tuple(place_of(sight, s) for s in stages),
            shop=(now.shop or "shop time") if now and not stages else "",
            since=now.since if now else None,
            left_on=left_on,
            minutes=so_far_min(sight, person.id, stages),
            usual_min=usual_min(sight, stages) if stages else None,
            cautions=tuple(
                dict.fromkeys(c for s in stages for c in cautions_of(sight.world.stages[s], sight.now))
            ),
            after=after,
            slot=up.slot(after.place.stage) if up and after else None,
            because=up.because(person.id, after.place.stage) if up and after else None,
        )


def _after(
    sight: Sight, left: list[Choice], person: int, stages: tuple[int, ...], up: NextUp | None
) -> Choice | None:
    if up is None:
        return next((c for c in left if c.place.stage not in stages and not c.no_edge), None)
    stage = up.next_for(person)
    standing = sight.standings.get(stage) if stage is not None else None
    return choice_of(sight, standing) if standing else None


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
