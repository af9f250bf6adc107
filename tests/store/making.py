"""A small invented shop for the tests: two people, a room, clamps, a glue, a pattern of three stages."""

from dataclasses import dataclass
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import ClampNeed, Entry, Mark, RoomProfile, Rule
from shoptrack.store import log, shop, tools
from shoptrack.store.jobs import add_job
from shoptrack.store.patterns import PatternNeed, PatternStage, make_pattern
from shoptrack.store.recipes import MarkSpec, RecipeSpec, make_recipe

MADE_AT = datetime(2026, 1, 1, tzinfo=UTC)
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

CLAMPS_OFF = Mark("clamps off", "clamps off", from_min=30, gates=True)
CLAMPS_OFF_WIDE = Mark(
    "clamps off", "clamps off", from_min=60, gates=True, points=((10.0, 120.0), (20.0, 60.0))
)
SCRAPE = Mark("scrape", "scrape squeeze-out", from_min=20, until_min=60, needs_hands=True)
GLUE = RecipeSpec(
    marks=(MarkSpec(CLAMPS_OFF), MarkSpec(CLAMPS_OFF_WIDE, "wide face"), MarkSpec(SCRAPE)),
    lowest_c=10.0,
    below="spoils",
    open_min=8,
)
ROOM = RoomProfile((19.0,) * 12, tuple(float(m) for m in range(1, 13)), time(7), time(17))


PLAIN_WEEK: shop.WorkingDays = (*([shop.PLAIN_DAY] * 5), (), ())


def make_plain_shop(session: Session, zone: str, now: datetime) -> None:
    """A shop with nothing but a name and a usual week."""
    shop.make_shop(session, "Our shop", zone, now)
    shop.set_week(session, from_on=now.astimezone(ZoneInfo(zone)).date(), days=PLAIN_WEEK)


@dataclass(frozen=True)
class Made:
    """The ids of what was made."""

    ann: int
    ben: int
    room: int
    pool: int
    planer: int
    bit: int
    kind: int
    glue: int
    revision: int


def furnish(session: Session) -> Made:
    """Make the small shop."""
    ann, ben = shop.make_person(session, "Ann"), shop.make_person(session, "Ben", position=1)
    room = shop.make_room(session, "bench room", from_at=MADE_AT, usual=ROOM)
    pool = shop.make_pool(session, "80 cm", reach_mm=800, owned=12, from_at=MADE_AT)
    planer = shop.make_station(session, "planer", room=room.id, makes_dust=True, greatest_width_mm=400)
    bit = tools.make_tool(session, "quarter-inch bit", kind="bit", station=planer.id)
    rule = Rule(10, 5)
    kind = shop.make_kind(session, "glue-up", unit="joints", rule=rule, from_at=MADE_AT, caution="gloves on")
    glue = make_recipe(session, "white glue", kind="glue", from_at=MADE_AT, spec=GLUE)
    stages = [
        PatternStage(kind.id, "mill", station=planer.id, tools=((bit.id, 0.5),), fixed=1, per_piece=2),
        PatternStage(
            kind.id,
            "glue up",
            needs=(PatternNeed(1, by_rounds=True),),
            clamps=(ClampNeed(pool.id, 4, per_piece=True),),
            recipe=glue.id,
            joint="wide face",
            room=room.id,
            rounds=True,
            interruption="none",
            hands_at_min=(5, 10),
        ),
        PatternStage(kind.id, "sand", needs=(PatternNeed(2, least_wait_min=60),), caution="wear a mask"),
    ]
    revision = make_pattern(session, "tray", stages=stages, now=MADE_AT)
    return Made(ann.id, ben.id, room.id, pool.id, planer.id, bit.id, kind.id, glue.id, revision.id)


def order(session: Session, made: Made, title: str = "tray for the hall") -> tuple[int, list[int]]:
    """Add a job of two pieces; gives its id and its stages' ids."""
    job = add_job(session, title=title, customer="Ms Fern", pieces=2, revision_id=made.revision, now=NOW)
    return job.id, [stage.id for stage in job.stages]


def put(session: Session, seq: int, at: datetime, kind: str, **said: object) -> Entry:
    """Append one entry of the tablet "bench"; its id is e and the number."""
    entry = Entry(f"e{seq}", "bench", seq, at, kind, tapped_at=at, **said)  # type: ignore[arg-type]
    log.append(session, [log.Written(entry, {}, f"print {seq}")], at)
    return entry
