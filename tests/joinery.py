"""A small invented shop for the tests: two people, a few stages of each kind, a Wednesday in November."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import ClampNeed, Mark, RoomProfile, Rule
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.store import patterns, recipes, shop
from shoptrack.store.base import Base
from shoptrack.store.db import Store, open_store
from shoptrack.store.jobs import add_job
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.store.recipes import MarkSpec, RecipeSpec
from shoptrack.store.tables import HeadRow, ShopRow

LONG_AGO = datetime(2025, 1, 1, tzinfo=UTC)
NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)  # Wednesday 13:24 in New York
ZONE = "America/New_York"
UNA, PIET = 1, 2
DAY = ((time(8), time(12)), (time(12, 30), time(17)))


def at(clock: str, days: int = 0) -> datetime:
    """A wall time of that Wednesday, five hours behind UTC."""
    hour, minute = map(int, clock.split(":"))
    return datetime(2026, 11, 25, 5, tzinfo=UTC) + timedelta(days=days, hours=hour, minutes=minute)


@dataclass
class Joinery:
    """The shop with the ids that tests speak of, and a tablet to tap on."""

    store: Store
    kinds: dict[str, int]
    revisions: dict[str, int]
    seqs: Iterator[int]
    planned: list[tuple[datetime, str, tuple[int, ...], dict[str, object]]] = field(default_factory=list)

    def add(self, pattern: str, title: str, promised_on: date | None, pieces: int = 1) -> dict[str, int]:
        """A job from a pattern: its stages by name, and the job itself under "job"."""
        with self.store.writing() as session:
            job = add_job(
                session,
                title=title,
                customer="Odile Marr",
                pieces=pieces,
                promised_on=promised_on,
                revision_id=self.revisions[pattern],
                now=LONG_AGO,
            )
            return {"job": job.id, **{s.name: s.id for s in job.stages}}

    def plan(self, kind: str, when: datetime, *stages: int, **said: object) -> None:
        """Note a tap to be made when all of a day are; two taps are never made out of order."""
        self.planned.append((when, kind, stages, said))

    def play(self) -> None:
        """Make the taps that were planned, the earliest first."""
        for when, kind, stages, said in sorted(self.planned, key=lambda p: p[0]):
            self.tap(kind, when, *stages, **said)  # type: ignore[arg-type]
        self.planned.clear()

    def tap(self, kind: str, when: datetime, *stages: int, person: int | None = UNA, **said: object) -> str:
        """One tap on the tablet at an instant, sent at once; gives its id."""
        seq = next(self.seqs)
        entry = {"id": f"tap-{seq:04d}", "seq": seq, "kind": kind, "at": when.isoformat(), **said}
        if person is not None:
            entry["person"] = person
        if stages:
            entry["stages"] = list(stages)
        envelope = {"device": "tablet", "sent_at": when.isoformat(), "entries": [entry]}
        (answer,) = accept(self.store, parse_envelope(envelope), when).answers
        assert answer.status == "done", answer.reason
        return answer.id


def make_joinery(store: Store) -> Joinery:
    """Set the shop up in an empty database."""
    with store.writing() as session:
        if shop.find_shop(session) is None:
            shop.make_shop(session, "Sedge Lane Joinery", ZONE, LONG_AGO)
        shop.set_week(session, from_on=date(2025, 1, 1), days=(*([DAY] * 5), (), ()))
        shop.make_person(session, "Una", position=1)
        shop.make_person(session, "Piet", position=2)
        usual = RoomProfile((20.0,) * 12, (13.0,) * 5 + (16.0,) * 5 + (9.5, 9.0), time(7), time(17))
        room = shop.make_room(session, "bench room", from_at=LONG_AGO, usual=usual).id
        pool = shop.make_pool(session, "600 mm", reach_mm=600, owned=12, from_at=LONG_AGO).id
        router = shop.make_station(session, "router", room=room, makes_dust=True).id
        kinds = {
            name: shop.make_kind(session, name, unit=unit, rule=rule, from_at=LONG_AGO, **more).id
            for name, unit, rule, more in KINDS
        }
        glue = recipes.make_recipe(session, "bone white", kind="glue", from_at=LONG_AGO, spec=GLUE).id
        oil = recipes.make_recipe(session, "bench oil", kind="finish", from_at=LONG_AGO, spec=OIL).id
        tray = tray_stages(kinds, pool, router, room, glue, oil)
        door = door_stages(kinds, pool, room, glue)
        revisions = {
            name: patterns.make_pattern(session, name, stages=stages, now=LONG_AGO).id
            for name, stages in (("tray", tray), ("door", door))
        }
    return Joinery(store, kinds, revisions, count(1))


def tray_stages(
    kinds: dict[str, int], pool: int, router: int, room: int, glue: int, oil: int
) -> list[PatternStage]:
    return [
        PatternStage(kinds["milling"], "milling", per_piece=2),
        PatternStage(
            kinds["glue-up"], "glue-up", recipe=glue, room=room, joint="plain edge",
            needs=[PatternNeed(1)], clamps=[ClampNeed(pool, 4)], settings="cauls waxed",
        ),
        PatternStage(kinds["carving"], "carving the well", station=router, needs=[PatternNeed(2)],
                     hands_at_min=[10, 25]),
        PatternStage(kinds["inlay"], "inlay", per_piece=10, rounds=True, recipe=glue, room=room,
                     joint="plain edge", needs=[PatternNeed(3)], clamps=[ClampNeed(pool, 1, True)]),
        PatternStage(kinds["finishing"], "oiling", fixed=3, per_piece=0, rounds=True, recipe=oil,
                     room=room, needs=[PatternNeed(4, by_rounds=True)]),
    ]  # fmt: skip


def door_stages(kinds: dict[str, int], pool: int, room: int, glue: int) -> list[PatternStage]:
    return [
        PatternStage(kinds["milling"], "frame", per_piece=4),
        PatternStage(kinds["milling"], "panel stock", per_piece=3),
        PatternStage(kinds["glue-up"], "panel glue-up", recipe=glue, room=room, joint="plain edge",
                     needs=[PatternNeed(2)], clamps=[ClampNeed(pool, 3)]),
        PatternStage(kinds["glue-up"], "put together", recipe=glue, room=room, joint="plain edge",
                     needs=[PatternNeed(1), PatternNeed(3)], clamps=[ClampNeed(pool, 6)]),
    ]  # fmt: skip


def empty_store(folder: Path) -> Store:
    """A database with its tables, its head and a name, and nothing else."""
    url = f"sqlite:///{folder / 'shop.db'}"
    engine = create_engine(url)
    Base.metadata.create_all(engine)
    with Session(engine) as session:
        session.add(HeadRow(id=1, database_id="joinery", revision=1))
        session.add(ShopRow(id=1, name="Sedge Lane Joinery", zone=ZONE, made_at=LONG_AGO))
        session.commit()
    engine.dispose()
    return open_store(url, folder)


@dataclass(frozen=True)
class BusyDay:
    """The jobs of a busy Wednesday, each as its stages by name and itself under "job"."""

    elm: dict[str, int]
    hall: dict[str, int]
    game: dict[str, int]
    larder: dict[str, int]
    letter: dict[str, int]


def busy_day(shop_: Joinery) -> BusyDay:
    """Trays in clamps since 12:48, a coat on since 13:19, a panel glued on a cold evening, work in hand."""
    day = BusyDay(
        elm=shop_.add("tray", "six trays, elm", date(2026, 11, 27), 6),
        hall=shop_.add("door", "hall door, ash", date(2026, 12, 4)),
        game=shop_.add("tray", "board game tray", date(2026, 11, 26)),
        larder=shop_.add("door", "larder doors, sycamore", None, 2),
        letter=shop_.add("tray", "letter tray", date(2026, 11, 24)),
    )
    plan = shop_.plan
    cold = day.larder["panel glue-up"]
    plan("start", at("9:00", -1), day.larder["panel stock"], person=PIET)
    plan("finish", at("9:40", -1), day.larder["panel stock"], person=PIET)
    plan("start", at("15:55", -1), cold, person=PIET)
    plan("closed", at("16:35", -1), cold, person=PIET)
    plan("finish", at("16:45", -1), cold, person=PIET)
    plan("start", at("8:05"), day.elm["milling"], day.game["milling"])
    plan("finish", at("9:20"), day.elm["milling"], day.game["milling"])
    plan("start", at("12:32"), day.elm["glue-up"])
    plan("spread", at("12:40"), day.elm["glue-up"])
    plan("closed", at("12:48"), day.elm["glue-up"])
    plan("finish", at("12:55"), day.elm["glue-up"])
    plan("start", at("10:00"), day.letter["inlay"], person=PIET, insisted=True)
    plan("closed", at("10:40"), day.letter["inlay"], person=PIET, count=4)
    plan("closed", at("11:20"), day.letter["inlay"], person=PIET, count=3)
    plan("start", at("13:15"), day.letter["oiling"], person=PIET, insisted=True)
    plan("closed", at("13:19"), day.letter["oiling"], person=PIET, count=1)
    plan("start", at("13:00"), day.hall["frame"])
    plan("finish", at("13:20"), day.hall["panel stock"], person=PIET)
    shop_.play()
    return day


def glued_last_week(shop_: Joinery, title: str, promised_on: date | None = None) -> dict[str, int]:
    """A tray that was milled on Tuesday of last week and glued up on its Wednesday; its glue has cured."""
    tray = shop_.add("tray", title, promised_on)
    shop_.tap("start", at("9:00", -8), tray["milling"])
    shop_.tap("finish", at("9:35", -8), tray["milling"])
    shop_.tap("start", at("9:00", -7), tray["glue-up"])
    shop_.tap("closed", at("9:20", -7), tray["glue-up"])
    shop_.tap("finish", at("9:25", -7), tray["glue-up"])
    return tray


@dataclass(frozen=True)
class Kept:
    """A shop as the bytes of its database, with what a test needs to go on in it."""

    file: bytes
    kinds: dict[str, int]
    revisions: dict[str, int]
    next_seq: int
    day: BusyDay | None

    def put(self, folder: Path) -> Store:
        """Open a copy of it in a folder."""
        (folder / "shop.db").write_bytes(self.file)
        return open_store(f"sqlite:///{folder / 'shop.db'}", folder)

    def joinery(self, store: Store) -> Joinery:
        """The shop in a copy that was opened."""
        return Joinery(store, dict(self.kinds), dict(self.revisions), count(self.next_seq))


@cache
def kept(how: Literal["bare", "shop", "busy"]) -> Kept:
    """Tables and a name, the small shop without a job, or its busy day; each is made once."""
    with TemporaryDirectory() as folder:
        store = empty_store(Path(folder))
        made = make_joinery(store) if how != "bare" else Joinery(store, {}, {}, count(1))
        day = busy_day(made) if how == "busy" else None
        store.close()
        file = (Path(folder) / "shop.db").read_bytes()
    return Kept(file, made.kinds, made.revisions, next(made.seqs), day)


KINDS: tuple[tuple[str, str, Rule, dict[str, str]], ...] = (
    ("milling", "boards", Rule(15, 10), {}),
    ("glue-up", "joints", Rule(10, 20), {"interruption": "none"}),
    ("carving", "pieces", Rule(10, 45), {"attendance": "within earshot"}),
    ("inlay", "inlays", Rule(20, 6), {}),
    (
        "finishing",
        "coats",
        Rule(5, 20),
        {"caution": "Oily rags heat themselves: spread them out to dry outside."},
    ),
)
GLUE = RecipeSpec(
    marks=(
        MarkSpec(Mark("scrape", "scrape squeeze-out", from_min=30, until_min=60, needs_hands=True)),
        MarkSpec(Mark("clamps off", "clamps off", from_min=60)),
        MarkSpec(Mark("work", "can be worked from", from_min=24 * 60, gates=True)),
    ),
    lowest_c=10.0,
    below="spoils",
    open_min=10,
)
OIL = RecipeSpec(
    marks=(
        MarkSpec(Mark("wipe", "wipe off", until_min=20, needs_hands=True)),
        MarkSpec(Mark("recoat", "recoat", from_min=6 * 60, until_min=36 * 60, gates=True)),
    ),
)
