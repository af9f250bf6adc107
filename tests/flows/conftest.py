from collections.abc import Iterator
from datetime import UTC, datetime, time
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.db import Store, open_store
from shoptrack.store.tables import (
    CustomerRow,
    EdgeKindRow,
    EdgeRow,
    HeadRow,
    JobRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    ShopRow,
    StageKindRow,
    StageNeedRow,
    StageRow,
    StageToolRow,
    ToolRow,
    WeekRow,
)

MADE_AT = datetime(2025, 1, 1, tzinfo=UTC)
DAY = (time(8), time(12)), (time(13), time(17))
TABLE, TRAYS, OLD = 1, 2, 3
"""Jobs: a table, some trays, and a box that was closed long ago."""
KNIVES, BIT = 1, 2
"""Tools: the first stage of each job is cut by the knives, the third by the bit, half of its time."""


def job_rows(job: int, tag: str, closed_at: datetime | None = None) -> list[Base]:
    """A job of four stages, 10·job + 1 to 4, each needing the one before it; 20 pieces."""
    rows: list[Base] = [
        JobRow(
            id=job,
            tag=tag,
            title="Ash table",
            buyer=CustomerRow(name="A customer"),
            pieces=20,
            added_at=MADE_AT,
            closed_at=closed_at,
        )
    ]
    for position in range(1, 5):
        kind = (position - 1) % 3 + 1
        rows.append(
            StageRow(
                id=10 * job + position,
                job_id=job,
                position=position,
                kind_id=kind,
                name=f"stage {position}",
                quantity=20,
                rounds=position == 3,
            )
        )
    rows += [StageNeedRow(stage_id=10 * job + p, needs_id=10 * job + p - 1) for p in range(2, 5)]
    return rows


def shop_rows() -> list[Base]:
    """Two people, eight hours from 8 to 5 on five days, in a shop kept by UTC."""
    kinds = [(1, "milling", 20.0, 3.0), (2, "glue-up", 30.0, 2.0), (3, "sanding", 5.0, 4.0)]
    rows: list[Base] = [
        HeadRow(id=1, database_id="a-shop", revision=1),
        ShopRow(id=1, name="The shop", zone="UTC", made_at=MADE_AT),
        PersonRow(id=1, name="Ann"),
        PersonRow(id=2, name="Ben"),
        RoomRow(id=1, name="bench room"),
        PoolRow(id=1, name="600 mm", reach_mm=600),
        PoolCountRow(pool_id=1, from_at=MADE_AT, owned=8),
    ]
    rows += [WeekRow(from_on=MADE_AT.date(), weekday=d, opens=a, closes=b) for d in range(5) for a, b in DAY]
    rows += [
        RoomTempRow(
            room_id=1,
            from_at=MADE_AT,
            month=m,
            heated_c=20,
            unheated_c=15,
            heated_from=time(7),
            heated_until=time(18),
        )
        for m in range(1, 13)
    ]
    for id, name, setup, rate in kinds:
        rows.append(StageKindRow(id=id, name=name, unit="pieces"))
        rows.append(RuleRow(kind_id=id, from_at=MADE_AT, setup_min=setup, rate_min=rate))
    rows += [*job_rows(TABLE, "K7"), *job_rows(TRAYS, "M3"), *job_rows(OLD, "P4", closed_at=MADE_AT)]
    return rows + tool_rows()


def tool_rows() -> list[Base]:
    """Planer knives in two sets, and a bit that is used half of the time."""
    return [
        EdgeKindRow(id=1, name="knives", usual_life_h=20),
        ToolRow(id=KNIVES, name="planer knives", kind_id=1),
        ToolRow(id=BIT, name="cove bit", kind_id=1),
        *(EdgeRow(id=id, tool_id=KNIVES, name=name, added_at=MADE_AT) for id, name in ((1, "A"), (2, "B"))),
        EdgeRow(id=3, tool_id=BIT, name="C", added_at=MADE_AT),
        *(StageToolRow(stage_id=10 * job + 1, tool_id=KNIVES) for job in (TABLE, TRAYS, OLD)),
        *(StageToolRow(stage_id=10 * job + 3, tool_id=BIT, share=0.5) for job in (TABLE, TRAYS, OLD)),
    ]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A real database file with a small shop in it."""
    made = make_store(tmp_path / "shop.db")
    yield made
    made.close()


def make_store(file: Path) -> Store:
    """A database file with a small shop in it, opened."""
    file.write_bytes(shop_file())
    return open_store(f"sqlite:///{file}", file.parent)


@cache
def shop_file() -> bytes:
    """The database file as it is at first; made once, since making tables is the slow part of a test."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shop.db"
        engine = create_engine(f"sqlite:///{file}")
        Base.metadata.create_all(engine)
        with Session(engine) as session:
            for row in shop_rows():
                session.add(row)
                session.flush()
            session.commit()
        engine.dispose()
        return file.read_bytes()
