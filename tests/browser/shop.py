"""A small shop for the browser: three people, seven jobs, glue, a finish, clamps; it is early afternoon."""

from datetime import UTC, date, datetime, time
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.migrate import migrate
from shoptrack.store.tables import (
    CustomerRow,
    JobRow,
    MarkRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RecipeRow,
    RecipeVersionRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    ShopRow,
    StageClampRow,
    StageKindRow,
    StageNeedRow,
    StageRow,
    StationRow,
    WeekRow,
)

MADE_AT = datetime(2025, 1, 1, tzinfo=UTC)
DAY = (time(8), time(12)), (time(13), time(18))
MILLING, GLUE_UP, FLATTENING, ROUTING, INLAY, FINISHING, PACKING = range(1, 8)
KINDS = ("milling", "glue-up", "flattening", "routing", "inlay", "finishing", "packing")
UNITS = ("boards", "joints", "pieces", "minutes", "inlays", "coats", "pieces")
ANN, BEN, CLEO = 1, 2, 3
PANEL, BOARD, TRAY, DOOR, SHELF, BOX, STOOL = range(1, 8)
"""Jobs: K7 a panel with glue, B4 plain from end to end, M3 coats, D2 inlays in rounds, R5 the router, …"""


def afternoon_zone(now: datetime) -> str:
    """A zone in which it is between 14:00 and 15:00 now, so that lunch is over and closing far."""
    ahead = (14 - now.astimezone(UTC).hour + 12) % 24 - 12
    return f"Etc/GMT{-ahead:+d}" if ahead else "UTC"


def make(instance: Path, now: datetime) -> None:
    """Make and fill the database of an instance."""
    url = f"sqlite:///{instance / 'shop.db'}"
    migrate(url, instance, now)
    engine = create_engine(url)
    with Session(engine) as session:
        for row in [*_shop(afternoon_zone(now)), *_recipes(), *_jobs()]:
            session.add(row)
            session.flush()
        session.commit()
    engine.dispose()


def _shop(zone: str) -> list[Base]:
    rows: list[Base] = [
        ShopRow(id=1, name="Sedge Lane Joinery", zone=zone, made_at=MADE_AT),
        PersonRow(id=ANN, name="Ann", position=1),
        PersonRow(id=BEN, name="Ben", position=2),
        PersonRow(id=CLEO, name="Cleo", position=3),
        RoomRow(id=1, name="bench room"),
        StationRow(id=1, name="router", room_id=1),
        PoolRow(id=1, name="600 mm bar clamp", reach_mm=600),
        PoolCountRow(pool_id=1, from_at=MADE_AT, owned=8),
        PoolRow(id=2, name="spring clamp", reach_mm=60),
        PoolCountRow(pool_id=2, from_at=MADE_AT, owned=7),
    ]
    rows += [
        WeekRow(from_on=date(2025, 1, 1), weekday=d, opens=a, closes=b) for d in range(7) for a, b in DAY
    ]
    warm = {"heated_c": 20, "unheated_c": 15, "heated_from": time(7), "heated_until": time(18)}
    rows += [RoomTempRow(room_id=1, from_at=MADE_AT, month=m, **warm) for m in range(1, 13)]
    for id, (name, unit) in enumerate(zip(KINDS, UNITS, strict=True), 1):
        rows.append(StageKindRow(id=id, name=name, unit=unit))
        rows.append(RuleRow(kind_id=id, from_at=MADE_AT, setup_min=10, rate_min=5))
    return rows


def _recipes() -> list[Base]:
    hour = 60.0
    marks = [
        MarkRow(version_id=1, role="clamps off", name="clamps off", from_min=hour, gates=True),
        MarkRow(version_id=1, role="scrape", name="scrape", from_min=25, until_min=90, needs_hands=True),
        MarkRow(version_id=1, role="work", name="can be worked", from_min=24 * hour, gates=True),
        MarkRow(version_id=2, role="wipe", name="wipe off", until_min=20, needs_hands=True),
        MarkRow(
            version_id=2, role="recoat", name="recoat", from_min=4 * hour, until_min=24 * hour, gates=True
        ),
    ]
    return [
        RecipeRow(id=1, name="white glue", kind="glue"),
        RecipeVersionRow(id=1, recipe_id=1, from_at=MADE_AT, open_min=10, lowest_c=10, below="spoils"),
        RecipeRow(id=2, name="wiping oil", kind="finish"),
        RecipeVersionRow(
            id=2, recipe_id=2, from_at=MADE_AT, caution="Oily rags can catch fire by themselves."
        ),
        *marks,
    ]


GLUED = {
    "kind_id": GLUE_UP,
    "recipe_id": 1,
    "interruption": "none",
    "settings": "cauls waxed\npanel flat on the bars\nclamps set to 620 mm",
}
OILED = {"kind_id": FINISHING, "recipe_id": 2, "rounds": True, "caution": "Open the window."}


def _jobs() -> list[Base]:
    """Stage n of job j has the id 10·j + n; each needs the one before it."""
    plans: dict[int, tuple[str, str, list[dict[str, object]]]] = {
        PANEL: (
            "K7",
            "game table top",
            [_plain(MILLING, 6), {**GLUED, "quantity": 4}, _plain(FLATTENING, 1)],
        ),
        BOARD: ("B4", "serving board", [_plain(MILLING, 4), _plain(FLATTENING, 2), _plain(PACKING, 2)]),
        TRAY: ("M3", "six trays", [_plain(MILLING, 6), {**OILED, "quantity": 3}, _plain(PACKING, 6)]),
        DOOR: ("D2", "inlaid door", [{**GLUED, "kind_id": INLAY, "rounds": True, "quantity": 20}]),
        SHELF: ("R5", "shelf", [{**_plain(ROUTING, 40), "attendance": "within earshot", "station_id": 1}]),
        BOX: ("X3", "box", [_plain(MILLING, 3)]),
        STOOL: ("W6", "stool", [_plain(MILLING, 3), {**GLUED, "quantity": 2}]),
    }
    rows: list[Base] = [CustomerRow(id=1, name="A customer")]
    for job, (tag, title, stages) in plans.items():
        promised = date(2031, 1, job)
        rows.append(
            JobRow(id=job, tag=tag, title=title, customer_id=1, pieces=6, promised_on=promised,
                   added_at=MADE_AT)
        )  # fmt: skip
        for position, plan in enumerate(stages, 1):
            id = 10 * job + position
            name = f"{KINDS[int(str(plan['kind_id'])) - 1]} of the {title}"
            rows.append(StageRow(id=id, job_id=job, position=position, **{"name": name, **plan}))
            if position > 1:
                rows.append(StageNeedRow(stage_id=id, needs_id=id - 1))
            if plan.get("recipe_id") == 1:
                each = plan["kind_id"] == INLAY
                rows.append(StageClampRow(stage_id=id, pool_id=2 if each else 1, count=1 if each else 4,
                                          per_piece=each))  # fmt: skip
    return rows


def _plain(kind: int, quantity: float) -> dict[str, object]:
    return {"kind_id": kind, "quantity": quantity}
