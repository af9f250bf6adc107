"""From tables before planning to those with it: what was there stays, and is as it was before."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command

from shoptrack.engine.shapes import Station
from shoptrack.store import migrate, snapshot
from shoptrack.store.db import make_engine, open_store
from shoptrack.store.shop import shop_row
from tests.store.conftest import NOW

OLD = (
    "INSERT INTO head VALUES (1, 'old', 7)",
    "INSERT INTO shop (id, name, zone, length_unit, temperature_unit, currency, clock_24h, is_demo,"
    " first_day, holidays_of, made_at) VALUES (1, 'Reed Lane', 'Europe/Berlin', 'mm', 'C', 'EUR', 0, 0,"
    " NULL, 'AT-9', '2025-04-01 08:00:00.000000')",
    "INSERT INTO rooms (id, name) VALUES (3, 'loft')",
    "INSERT INTO stations (id, name, room_id, greatest_width_mm, makes_dust, retired_at)"
    " VALUES (4, 'planer', 3, 393.7, 1, NULL), (9, 'old saw', NULL, NULL, 0, '2026-01-01 00:00:00.000000')",
    "INSERT INTO tools (id, name, kind, station_id) VALUES (2, 'knives', 'knives', 4)",
)


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "shop.db"
    engine = make_engine(path, "BEGIN IMMEDIATE", ("PRAGMA foreign_keys=OFF",), pool_size=1)
    with engine.begin() as connection:
        config = migrate._config()
        config.attributes["connection"] = connection
        command.upgrade(config, "0006")
        for statement in OLD:
            connection.exec_driver_sql(statement)
    engine.dispose()
    return path


def test_a_shop_and_its_stations_keep_all_that_was_said(old: Path, url: str, tmp_path: Path) -> None:
    """A station holds one stage at a time as before, and promises count no quotes."""
    migrate.migrate(url, tmp_path, NOW)
    store = open_store(url, tmp_path)
    with store.reading() as session:
        row, world = shop_row(session), snapshot.whole_world(session)
    store.close()
    assert (row.name, row.zone, row.length_unit, row.clock_24h) == ("Reed Lane", "Europe/Berlin", "mm", False)
    assert (row.holidays_of, row.made_at.year, row.weigh_quotes_bp) == ("AT-9", 2025, None)
    assert world.stations == {4: Station(4, "planer", 3, True, 1, False), 9: Station(9, "old saw")}
    assert (world.awaited, world.pins, world.calendar.overtime) == ((), {}, ())
    with closing(sqlite3.connect(old)) as raw:
        assert raw.execute("SELECT greatest_width_mm FROM stations WHERE id = 4").fetchall() == [(393.7,)]
        assert raw.execute("PRAGMA foreign_key_list(tools)").fetchone()[2] == "stations"
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE stations SET places = 0",
        "UPDATE shop SET weigh_quotes_bp = 10001",
        "INSERT INTO overtime (on_date, opens, closes, reason) VALUES ('2026-05-01', '12:00', '12:00', '')",
    ],
)
def test_the_new_tables_refuse_what_can_not_be(old: Path, url: str, tmp_path: Path, statement: str) -> None:
    migrate.migrate(url, tmp_path, NOW)
    with closing(sqlite3.connect(old)) as raw, pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        raw.execute(statement)
