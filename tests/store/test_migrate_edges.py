"""From tables before edges to those with them: tools keep their kind, and their hours come from the log."""

import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import Connection, select

from shoptrack.engine.shapes import Cut
from shoptrack.store import inspection, migrate, worked
from shoptrack.store.db import make_engine, open_store
from shoptrack.store.tables import EdgeKindRow, ToolRow, WorkedRow
from tests.store.conftest import NOW

DAY = "2026-03-02"
AT = "{day} {clock}:00.000000"


def put(connection: Connection, table: str, **said: object) -> None:
    """Add a row; what must be said and is not, is empty."""
    columns = connection.exec_driver_sql(f"PRAGMA table_info({table})").fetchall()
    for _, name, kind, must, default, key in columns:
        if must and default is None and not key and name not in said:
            said[name] = "" if kind in ("VARCHAR", "TEXT") else 0
    names, marks = ", ".join(said), ", ".join("?" * len(said))
    connection.exec_driver_sql(f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(said.values()))


def at(clock: str, day: str = DAY) -> str:
    return AT.format(day=day, clock=clock)


def write_shop(connection: Connection) -> None:
    made_at = at("08:00", "2025-04-01")
    put(connection, "head", id=1, database_id="old", revision=7)
    shop = {"length_unit": "mm", "temperature_unit": "C", "currency": "EUR", "made_at": made_at}
    put(connection, "shop", id=1, name="Reed Lane", zone="UTC", **shop)
    put(connection, "people", id=1, name="Mara")
    for day in range(5):
        hours = {"opens": "07:00:00.000000", "closes": "17:00:00.000000"}
        put(connection, "weeks", from_on="2025-01-01", weekday=day, **hours)
    put(connection, "tools", id=2, name="jointer", kind="knives")
    put(connection, "tools", id=3, name="planer", kind="knives")
    put(connection, "tools", id=5, name="saw", kind="blade", retired_at=made_at)
    put(connection, "customers", id=1, name="Ms Fern")
    put(connection, "jobs", id=1, tag="K7", title="a tray", customer_id=1, pieces=4, added_at=made_at)
    ways = {"attendance": "hands-on", "interruption": "any"}
    put(connection, "stage_kinds", id=1, name="milling", unit="boards", **ways)
    put(connection, "rules_of_thumb", kind_id=1, from_at=made_at, setup_min=10, rate_min=5)
    stage = {"name": "milling", "quantity": 4, "people": 1, **ways}
    put(connection, "stages", id=1, job_id=1, position=1, kind_id=1, **stage)
    put(connection, "stage_tools", stage_id=1, tool_id=3, share=0.5)


def write_log(connection: Connection) -> None:
    """Mara milled from eight to nine; the tally says so."""
    for n, (kind, clock) in enumerate((("start", "08:00"), ("finish", "09:00")), start=1):
        when = dict.fromkeys(("at", "tapped_at", "received_at"), at(clock))
        said = {"kind": kind, "person_id": 1, "version": 1, "body": "{}", "body_hash": f"print {n}"}
        put(connection, "entries", n=n, id=f"tap-{n}", device="bench", seq=n, **said, **when)
        put(connection, "entry_stages", entry_n=n, place=0, stage_id=1)
    done = {"standing": "done", "quantity": 4, "attended_min": 60, "elapsed_min": 60, "teaches": 1}
    put(connection, "tally", stage_id=1, **done, redo=0, started_at=at("08:00"), finished_at=at("09:00"))


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "shop.db"
    engine = make_engine(path, "BEGIN IMMEDIATE", ("PRAGMA foreign_keys=OFF",), pool_size=1)
    with engine.begin() as connection:
        config = migrate._config()
        config.attributes["connection"] = connection
        command.upgrade(config, "0007")
        write_shop(connection)
        write_log(connection)
    engine.dispose()
    return path


def test_tools_keep_what_was_said_and_kinds_become_rows(old: Path, url: str, tmp_path: Path) -> None:
    """Two sorts of edge, each with a starting value that nobody in the shop has said."""
    migrate.migrate(url, tmp_path, NOW)
    store = open_store(url, tmp_path)
    with store.reading() as session:
        kinds = {row.id: row for row in session.scalars(select(EdgeKindRow))}
        tools = list(session.scalars(select(ToolRow).order_by(ToolRow.id)))
        assert [(t.id, t.name, kinds[t.kind_id].name) for t in tools] == [
            (2, "jointer", "knives"),
            (3, "planer", "knives"),
            (5, "saw", "blade"),
        ]
        assert [t.retired_at is None for t in tools] == [True, True, False]
        assert all(kind.starting and kind.usual_life_h > 0 for kind in kinds.values())
    store.close()
    with closing(sqlite3.connect(old)) as raw:
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []


def test_hours_of_the_tools_come_from_the_log(old: Path, url: str, tmp_path: Path) -> None:
    """An hour at the planer, half of it cutting; ``replay --check`` finds nothing to say."""
    migrate.migrate(url, tmp_path, NOW)
    store = open_store(url, tmp_path)
    eight = datetime(2026, 3, 2, 8, tzinfo=NOW.tzinfo)
    with store.reading() as session:
        assert worked.cuts(session) == [Cut(3, 1, eight, eight + timedelta(hours=1), 30.0)]
        assert inspection.replay_check(session, NOW + timedelta(hours=1)) == []
    store.close()


def test_a_log_that_can_not_be_replayed_keeps_nobody_out(
    old: Path, url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*args: object) -> None:
        raise LookupError("a stage of no kind")

    monkeypatch.setattr(worked, "replay", broken)
    migrate.migrate(url, tmp_path, NOW)
    assert "could not be made from the log" in caplog.text
    store = open_store(url, tmp_path)
    with store.reading() as session:
        assert list(session.scalars(select(WorkedRow))) == []
        assert session.get_one(ToolRow, 3).name == "planer"
    store.close()
