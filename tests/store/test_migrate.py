"""Tables made and brought up to date, whole or not at all; and the log's triggers."""

import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError

from shoptrack.errors import Refused
from shoptrack.store import backup, migrate
from shoptrack.store.db import Store, make_engine, open_store
from shoptrack.store.tables import Base
from tests.store.conftest import NOW
from tests.store.making import put

ROOT = Path(__file__).parents[2]


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    made = make_engine(tmp_path / "plain.db", "BEGIN IMMEDIATE", ("PRAGMA foreign_keys=ON",))
    yield made
    made.dispose()


def pragma(raw: sqlite3.Connection, name: str, table: str) -> list[tuple[Any, ...]]:
    return raw.execute(f'PRAGMA {name}("{table}")').fetchall()


def shape_of(path: Path) -> dict[str, Any]:
    """Tables with columns, types and foreign keys, indexes, triggers, and every check's text."""
    with closing(sqlite3.connect(path)) as raw:
        named = raw.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
        tables = [name for kind, name, _, _ in named if kind == "table" and name != "alembic_version"]
        return {
            "columns": {t: sorted(c[1:] for c in pragma(raw, "table_info", t)) for t in tables},
            "keys": {t: sorted(k[2:] for k in pragma(raw, "foreign_key_list", t)) for t in tables},
            "rules": {name: constraints(sql) for kind, name, _, sql in named if name in tables},
            "rest": sorted(row for row in named if row[0] in ("index", "trigger") and row[3]),
        }


def constraints(sql: str) -> list[str]:
    lines = (" ".join(line.split()).rstrip(",") for line in sql.splitlines())
    return sorted(line for line in lines if line.startswith("CONSTRAINT"))


def test_the_migrations_make_the_tables_that_the_program_has(
    tmp_path: Path, url: str, engine: Engine
) -> None:
    migrate.migrate(url, tmp_path, NOW)
    with engine.begin() as connection:
        Base.metadata.create_all(connection)
    migrated, created = shape_of(tmp_path / "shop.db"), shape_of(tmp_path / "plain.db")
    assert len(created["columns"]) == len(Base.metadata.tables)
    assert sum(len(rules) for rules in created["rules"].values()) > 60
    for part in ("columns", "keys", "rules", "rest"):
        assert migrated[part] == created[part]
    assert sum(row[0] == "trigger" for row in migrated["rest"]) == 4


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET kind = 'finish'",
        "DELETE FROM entries",
        "INSERT OR REPLACE INTO entries SELECT * FROM entries",
        "REPLACE INTO entry_stages SELECT * FROM entry_stages",
        "UPDATE entry_stages SET place = 7",
        "DELETE FROM entry_stages",
    ],
)
@pytest.mark.parametrize("made_by", ["migrate", "create_all"])
def test_the_log_is_never_changed(
    store: Store, engine: Engine, tmp_path: Path, statement: str, made_by: str
) -> None:
    if made_by == "create_all":
        with engine.begin() as connection:
            Base.metadata.create_all(connection)
            connection.exec_driver_sql("INSERT INTO head VALUES (1, 'x', 0)")
        store = Store(tmp_path / "plain.db", tmp_path)
    with store.writing() as session:
        session.execute(text("PRAGMA defer_foreign_keys=ON"))
        put(session, 1, NOW, "temperature")
        session.execute(text("INSERT INTO stage_kinds VALUES (1,'k','u','hands-on','any',0,'',0,NULL)"))
        session.execute(text("INSERT INTO customers VALUES (1,'c','','','','','',NULL)"))
        session.execute(
            text(
                "INSERT INTO jobs (id,tag,title,customer_id,pieces,must_keep,notes,added_at)"
                " VALUES (1,'K7','t',1,1,0,'','2026-01-01')"
            )
        )
        session.execute(
            text(
                "INSERT INTO stages (id,job_id,position,kind_id,name,quantity,rounds,attendance,"
                "interruption,people,dusty,settings,caution)"
                " VALUES (1,1,1,1,'n',1,0,'hands-on','any',1,0,'','')"
            )
        )
        session.execute(text("INSERT INTO entry_stages VALUES (1, 0, 1)"))
    with pytest.raises(IntegrityError, match="the log of work is never changed"), store.writing() as session:
        session.execute(text(statement))
    with store.reading() as session:
        assert session.execute(text("SELECT kind FROM entries")).all() == [("temperature",)]
        assert session.execute(text("SELECT * FROM entry_stages")).all() == [(1, 0, 1)]
    store.close()


def test_making_it_seeds_one_head_and_doing_it_again_changes_nothing(tmp_path: Path, url: str) -> None:
    assert migrate.current(url) is None
    assert migrate.migrate(url, tmp_path, NOW) == migrate.head_revision()
    before = (tmp_path / "shop.db").read_bytes()
    assert migrate.migrate(url, tmp_path, NOW) == migrate.current(url)
    assert (tmp_path / "shop.db").read_bytes() == before
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw:
        ((one, database_id, revision),) = raw.execute("SELECT * FROM head").fetchall()
    assert (one, len(database_id), revision) == (1, 16, 0)
    assert not (tmp_path / "backups").exists()


def make_old(path: Path) -> None:
    """A database as the first revision alone made it, with a person in it."""
    engine = make_engine(path, "BEGIN IMMEDIATE", ("PRAGMA journal_mode=WAL",), pool_size=1)
    with engine.begin() as connection:
        config = migrate._config()
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.exec_driver_sql("INSERT INTO head VALUES (1, 'old', 7)")
        connection.exec_driver_sql("INSERT INTO people (name, position) VALUES ('Ann', 0)")
    engine.dispose()


def test_jobs_of_older_tables_keep_their_customers_and_learn_their_lines(tmp_path: Path, url: str) -> None:
    """Two jobs of one customer, one of another; a stage copied from a pattern and one that was not."""
    engine = make_engine(tmp_path / "shop.db", "BEGIN IMMEDIATE", (), pool_size=1)
    with engine.begin() as connection:
        config = migrate._config()
        config.attributes["connection"] = connection
        command.upgrade(config, "0003")
        for statement in OLD_WORK:
            connection.exec_driver_sql(statement)
    engine.dispose()
    migrate.migrate(url, tmp_path, NOW)
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw:
        jobs = "SELECT j.tag, c.name FROM jobs j JOIN customers c ON c.id = j.customer_id ORDER BY j.id"
        assert raw.execute(jobs).fetchall() == [("K7", "Ms Fern"), ("B4", "Mr Reed"), ("M3", "Ms Fern")]
        assert raw.execute("SELECT name FROM customers ORDER BY id").fetchall() == [
            ("Mr Reed",),
            ("Ms Fern",),
        ]
        assert raw.execute("SELECT id, line FROM stages ORDER BY id").fetchall() == [(1, 4), (2, None)]
        assert raw.execute("SELECT line FROM pattern_stages").fetchall() == [(4,)]
        assert raw.execute("SELECT starting FROM rules_of_thumb").fetchall() == [(0,)]


OLD_WORK = (
    "INSERT INTO head VALUES (1, 'old', 7)",
    "INSERT INTO stage_kinds VALUES (1, 'milling', 'boards', 'hands-on', 'any', 0, '', 0, NULL)",
    "INSERT INTO rules_of_thumb VALUES (1, 1, '2026-01-01', 10, 5)",
    "INSERT INTO patterns VALUES (1, 'tray', NULL)",
    "INSERT INTO pattern_revisions VALUES (1, 1, 1, '2026-01-01', '')",
    "INSERT INTO pattern_stages (id, revision_id, fixed, per_piece, position, name, rounds, attendance,"
    " interruption, people, dusty, settings, caution, kind_id)"
    " VALUES (1, 1, 0, 1, 4, 'mill', 0, 'hands-on', 'any', 1, 0, '', '', 1)",
    *(
        "INSERT INTO jobs (id, tag, title, customer, pieces, pattern_revision_id, must_keep, notes, added_at)"
        f" VALUES ({id}, '{tag}', 'trays', '{customer}', 2, {revision}, 0, '', '2026-01-01')"
        for id, tag, customer, revision in (
            (1, "K7", "Ms Fern", 1),
            (2, "B4", "Mr Reed", "NULL"),
            (3, "M3", "Ms Fern", "NULL"),
        )
    ),
    *(
        "INSERT INTO stages (id, job_id, position, kind_id, name, quantity, rounds, attendance,"
        " interruption, people, dusty, settings, caution)"
        f" VALUES ({id}, {job}, 4, 1, 'mill', 2, 0, 'hands-on', 'any', 1, 0, '', '')"
        for id, job in ((1, 1), (2, 2))
    ),
)


def test_an_older_database_is_backed_up_and_keeps_its_rows(tmp_path: Path, url: str) -> None:
    make_old(tmp_path / "shop.db")
    assert migrate.current(url) == "0001"
    migrate.migrate(url, tmp_path, NOW)
    assert migrate.current(url) == migrate.head_revision()
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw:
        assert raw.execute("SELECT name FROM people").fetchall() == [("Ann",)]
        assert raw.execute("SELECT database_id, revision FROM head").fetchall() == [("old", 7)]
    (kept,) = (tmp_path / "backups").iterdir()
    assert kept.name == "before-migration-20260302T090000Z.zip"
    assert backup.list_good(tmp_path / "backups") == []  # it never counts as a daily one


def test_rows_that_would_be_lost_stop_it(tmp_path: Path, url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    make_old(tmp_path / "shop.db")
    real = command.upgrade

    def upgrade_and_lose(config: Any, revision: str) -> None:
        real(config, revision)
        config.attributes["connection"].exec_driver_sql("DELETE FROM people")

    monkeypatch.setattr(command, "upgrade", upgrade_and_lose)
    with pytest.raises(Refused, match="lose rows of people: 1 before, 0 after"):
        migrate.migrate(url, tmp_path, NOW)
    assert migrate.current(url) == "0001"
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw:
        assert raw.execute("SELECT name FROM people").fetchall() == [("Ann",)]


def test_a_row_that_points_at_nothing_stops_it(
    tmp_path: Path, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_old(tmp_path / "shop.db")
    real = command.upgrade

    def upgrade_and_break(config: Any, revision: str) -> None:
        real(config, revision)
        config.attributes["connection"].exec_driver_sql(
            "INSERT INTO days_off (person_id, first_on, last_on, reason)"
            " VALUES (9, '2026-01-01', '2026-01-01', '')"
        )

    monkeypatch.setattr(command, "upgrade", upgrade_and_break)
    with pytest.raises(Refused, match="days_off pointing at nothing"):
        migrate.migrate(url, tmp_path, NOW)
    assert migrate.current(url) == "0001"


def test_a_newer_database_and_a_way_back_are_refused(tmp_path: Path, url: str) -> None:
    migrate.migrate(url, tmp_path, NOW)
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw, raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(Refused, match="newer shoptrack"):
        migrate.migrate(url, tmp_path, NOW)
    for script in migrate.revisions():
        with pytest.raises(Refused, match="can't be taken back"):
            script.module.downgrade()


@pytest.mark.parametrize("statement", [3, 9, 31, 58, 5000])
def test_a_kill_leaves_the_old_tables_or_the_new_never_half(tmp_path: Path, url: str, statement: int) -> None:
    """A migration from the first revision is killed just before one of its statements; then run again."""
    make_old(tmp_path / "shop.db")
    old = shape_of(tmp_path / "shop.db")
    run = subprocess.run(
        [sys.executable, "-m", "tests.store.dying", "migrate", url, str(statement)],
        cwd=ROOT,
        capture_output=True,
    )
    new = run.returncode == 0
    assert new == (statement == 5000)
    assert new or run.returncode == -signal.SIGKILL
    assert migrate.current(url) == (migrate.head_revision() if new else "0001")
    assert (shape_of(tmp_path / "shop.db") == old) != new
    migrate.migrate(url, tmp_path, datetime(2026, 3, 3, tzinfo=UTC))
    opened = open_store(url, tmp_path)
    opened.close()
    with closing(sqlite3.connect(tmp_path / "shop.db")) as raw:
        assert raw.execute("SELECT name FROM people").fetchall() == [("Ann",)]
