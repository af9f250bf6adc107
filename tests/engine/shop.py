"""A small invented shop, and a pencil to write its log with, for tests of replay and states."""

from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shoptrack.engine.shapes import (
    Calendar,
    ClampNeed,
    Entry,
    Job,
    Mark,
    Need,
    Person,
    Pool,
    Recipe,
    Room,
    RoomProfile,
    Rule,
    Stage,
    Station,
    Week,
    World,
)

ZONE = ZoneInfo("America/Chicago")
ANN, BEN, CLEO = 1, 2, 3
LONG, SHORT = 1, 2
BEFORE = datetime(2020, 1, 1, tzinfo=UTC)

_DAY = ((time(8), time(12)), (time(12, 45), time(17)))
WEEK = Week(date(2020, 1, 1), (_DAY,) * 5 + ((),) * 2)
CALENDAR = Calendar("America/Chicago", (WEEK,))

PVA = Recipe(
    id=1,
    name="white glue",
    kind="glue",
    reference_c=20,
    q10=2.3,
    lowest_c=10,
    below="spoils",
    open_min=10,
    marks=(
        Mark("clamps off", "clamps off", from_min=60),
        Mark("scrape", "scrape squeeze-out", from_min=25, until_min=40, needs_hands=True),
        Mark("work", "can be worked", from_min=24 * 60, gates=True),
    ),
)
QUICK = replace(
    PVA,
    id=2,
    name="quick glue",
    marks=(Mark("clamps off", "clamps off", from_min=60), Mark("work", "work", from_min=120, gates=True)),
)
OIL = Recipe(
    id=3,
    name="wiping oil",
    kind="finish",
    marks=(
        Mark("wipe", "wipe off", until_min=15, needs_hands=True),
        Mark("recoat", "next coat", from_min=360, until_min=1200, gates=True),
        Mark("handle", "can be handled", from_min=600, gates=True),
    ),
)


def at(text: str, on: date = date(2026, 3, 10)) -> datetime:
    """A wall time of the shop, "8:05", as an instant; a day may be named: "wed 8:05" is the day after."""
    days = {"mon": -1, "tue": 0, "wed": 1, "thu": 2, "fri": 3, "sat": 4, "sun": 5, "nextmon": 6}
    day, _, clock = text.rpartition(" ")
    hour, minute = clock.split(":")
    local = datetime.combine(on + timedelta(days=days[day or "tue"]), time(int(hour), int(minute)), ZONE)
    return local.astimezone(UTC)


def stage(
    number: int,
    name: str = "milling",
    *,
    job: int = 1,
    rule: tuple[float, float] = (0, 10),
    quantity: float = 6,
    after: tuple[int, ...] = (),
    recipe: Recipe | None = None,
    **more: object,
) -> Stage:
    """A stage with few words; its rule of thumb is (set-up, rate)."""
    made = Stage(
        id=number,
        job=job,
        position=number,
        kind=name,
        name=name,
        unit="pieces",
        quantity=quantity,
        rule=((BEFORE, Rule(*rule)),),
        needs=tuple(Need(a) for a in after),
        recipes=((BEFORE, recipe),) if recipe else (),
    )
    return replace(made, **more)  # type: ignore[arg-type]


def shop(*stages: Stage, pieces: int = 20, c: float = 20.0, night_c: float | None = None) -> World:
    """A world of these stages: one room, two pools of clamps (8 long, 7 short), a router."""
    profile = RoomProfile((c,) * 12, (c if night_c is None else night_c,) * 12, time(8), time(17))
    jobs = {
        s.job: Job(s.job, f"K{s.job + 1}", "a table", "somebody", pieces, date(2026, 3, 20)) for s in stages
    }
    return World(
        calendar=CALENDAR,
        people={ANN: Person(ANN, "Ann"), BEN: Person(BEN, "Ben"), CLEO: Person(CLEO, "Cleo")},
        jobs=jobs,
        stages={s.id: s for s in stages},
        stations={1: Station(1, "router", 1), 2: Station(2, "planer", 1)},
        pools={
            LONG: Pool(LONG, "long", 900, ((BEFORE, 8),)),
            SHORT: Pool(SHORT, "short", 300, ((BEFORE, 7),)),
        },
        rooms={1: Room(1, "bench room", ((BEFORE, profile),))},
        tools={1: "V-bit"},
    )


def glue_up(number: int, recipe: Recipe = PVA, **more: object) -> Stage:
    """A glue-up that may not be interrupted and holds four long clamps."""
    given: dict[str, object] = {
        "rule": (15, 10),
        "quantity": 3,
        "interruption": "none",
        "clamps": (ClampNeed(LONG, 4),),
        "recipe": recipe,
        **more,
    }
    return stage(number, "glue-up", **given)  # type: ignore[arg-type]


@dataclass
class Pencil:
    """Writes entries, one after another, as one tablet would."""

    device: str = "tablet-a"
    entries: list[Entry] = field(default_factory=list)

    def tap(
        self, when: str | datetime, kind: str, person: int | None = ANN, *stages: int, **more: object
    ) -> str:
        """Write one entry and give its id."""
        instant = at(when) if isinstance(when, str) else when
        n = len(self.entries) + 1
        made = Entry(f"{self.device}-{n:04}", self.device, n, instant, kind, person, stages)
        self.entries.append(replace(made, **more))  # type: ignore[arg-type]
        return made.id
