"""What open jobs and patterns still use, of everything a stage can be planned with."""

from typing import Any

import pytest
from sqlalchemy import select

from shoptrack.store.base import Base
from shoptrack.store.tables import (
    JobRow,
    PoolRow,
    RecipeRow,
    RoomRow,
    StageKindRow,
    StageRow,
    StationRow,
    ToolRow,
)
from shoptrack.store.tools import make_tool
from shoptrack.store.uses import Use, ever_planned, uses_of
from tests.joinery import NOW, BusyDay, Joinery


def used(shop: Joinery, table: type[Base], name: str) -> list[tuple[str, str]]:
    with shop.store.reading() as session:
        chosen: Any = select(table).where(table.__table__.c.name == name)
        row = session.scalars(chosen).one()
        return [(use.what, use.words.partition(" ")[2] or use.words) for use in uses_of(session, row)]


@pytest.mark.parametrize(
    ("table", "name"), [(StageKindRow, "inlay"), (RecipeRow, "bench oil"), (StationRow, "router")]
)
def test_what_only_trays_use(joinery: Joinery, day: BusyDay, table: type[Base], name: str) -> None:
    assert used(joinery, table, name) == [
        ("job", "six trays, elm"),
        ("job", "board game tray"),
        ("job", "letter tray"),
        ("pattern", "tray"),
    ]


def test_clamps_are_used_by_all_and_a_room_by_what_stands_in_it(joinery: Joinery, day: BusyDay) -> None:
    assert len(used(joinery, PoolRow, "600 mm")) == 5 + 2
    assert ("station", "router") in used(joinery, RoomRow, "bench room")


def test_a_closed_job_and_a_stage_taken_out_use_nothing(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.writing() as session:
        letter = session.get(JobRow, day.letter["job"])
        assert letter is not None
        letter.closed_at = NOW
        inlay = session.get(StageRow, day.game["inlay"])
        assert inlay is not None
        inlay.removed_at = NOW
    assert used(joinery, StageKindRow, "inlay") == [("job", "six trays, elm"), ("pattern", "tray")]


def test_a_tool_that_nothing_uses_and_the_station_it_is_on(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        router = session.scalars(select(StationRow)).one()
        tool = make_tool(session, "surfacing inserts", kind="inserts", station=router.id)
        assert uses_of(session, tool) == ()
        assert not ever_planned(session, tool)
        assert uses_of(session, router)[-1] == Use("tool", tool.id, "surfacing inserts")


def test_planned_once_is_planned_for_ever(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.reading() as session:
        pool = session.scalars(select(PoolRow)).one()
        assert ever_planned(session, pool)
        assert session.scalars(select(ToolRow)).all() == []
