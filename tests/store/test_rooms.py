"""The usual warmth of a room: said by date, said again, said for the very day."""

from dataclasses import replace
from datetime import time, timedelta
from typing import Any

import pytest

from shoptrack.engine.shapes import RoomProfile
from shoptrack.errors import BadInput
from shoptrack.store import shop
from shoptrack.store.dated_rows import said_of
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.rooms import say_warmth
from shoptrack.store.tables import RoomTempRow
from tests.store.conftest import NOW

USUAL = RoomProfile((20.0,) * 12, (12.0,) * 12, time(7), time(17))
WARMER = replace(USUAL, unheated_c=(15.0,) * 12)


def make_room(store: Store) -> int:
    with store.writing() as session:
        return shop.make_room(session, "bench room", from_at=NOW, usual=USUAL).id


def test_another_warmth_counts_from_its_day(store: Store) -> None:
    room, later = make_room(store), NOW + timedelta(days=5)
    with store.writing() as session:
        assert say_warmth(session, room, WARMER, later, None, NOW)
        assert not say_warmth(session, room, WARMER, later + timedelta(days=1), None, NOW)
        rows: Any = said_of(session, RoomTempRow, {"room_id": room, "month": 1})
        assert [(row.from_at, row.unheated_c) for row in rows] == [(NOW, 12.0), (later, 15.0)]
        (line,) = history(session, "room_temps", rows[-1].id)
    assert line.before == [[20.0, 12.0]] * 12
    assert line.after == [[20.0, 15.0]] * 12


def test_for_the_very_instant_it_replaces_with_a_line_for_each_month(store: Store) -> None:
    room = make_room(store)
    with store.writing() as session:
        assert say_warmth(session, room, WARMER, NOW, None, NOW)
        rows: Any = said_of(session, RoomTempRow, {"room_id": room})
        assert [row.unheated_c for row in rows] == [15.0] * 12
        assert [line.after for line in history(session, "room_temps", rows[0].id)] == [15.0]


def test_eleven_months_are_refused(store: Store) -> None:
    room = make_room(store)
    with store.writing() as session, pytest.raises(BadInput, match="twelve"):
        say_warmth(session, room, replace(USUAL, heated_c=(20.0,) * 11), NOW, None, NOW)
