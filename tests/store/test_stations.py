"""A station that moves: what was begun on it keeps the room it cured in."""

from sqlalchemy import select

from shoptrack.store.edits import history
from shoptrack.store.stations import keep_room
from shoptrack.store.tables import StageRow, StationRow
from tests.joinery import NOW, BusyDay, Joinery, at


def test_only_what_was_begun_there_is_kept(joinery: Joinery, day: BusyDay) -> None:
    """The elm trays' wells are being carved on the router; the game tray's are not begun."""
    joinery.tap("start", at("13:22"), day.elm["carving the well"], insisted=True)
    with joinery.store.writing() as session:
        router = session.scalars(select(StationRow)).one()
        room = router.room_id
        assert room is not None
        assert keep_room(session, router, 1, NOW) == 1
        kept = session.get(StageRow, day.elm["carving the well"])
        left = session.get(StageRow, day.game["carving the well"])
        assert kept is not None
        assert left is not None
        assert (kept.room_id, left.room_id) == (room, None)
        (line,) = history(session, "stages", kept.id)
    assert line.why == "router was moved"


def test_without_a_room_it_was_in_the_shops_first(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("start", at("13:22"), day.elm["carving the well"], insisted=True)
    with joinery.store.writing() as session:
        router = session.scalars(select(StationRow)).one()
        router.room_id = None
        assert keep_room(session, router, None, NOW) == 1
        assert keep_room(session, router, None, NOW) == 0
