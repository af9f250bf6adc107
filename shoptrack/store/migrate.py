"""A database of any age becomes one with today's tables, whole or not at all."""

import logging
import secrets
from contextlib import nullcontext
from datetime import datetime
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import Script, ScriptDirectory
from sqlalchemy import Engine, insert, inspect, select, text
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

import shoptrack
from shoptrack.errors import Refused
from shoptrack.store import backup, worked
from shoptrack.store.db import database_path, make_engine, reading_only
from shoptrack.store.lock import hold, is_held_here, refuse_network_drive, turns_for
from shoptrack.store.tables import HeadRow

LOGGER = logging.getLogger("shoptrack.migrate")


def migrate(store_url: str, instance: Path, now: datetime) -> str:
    """Create or upgrade a database and give the revision its tables are at.

    Takes its address, the instance folder (a database with data is backed up there first) and now.
    Raises Refused, with the database as it was, when it is newer than this program, in use by
    another, or when rows would be lost.
    """
    path = database_path(store_url)
    refuse_network_drive(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    with nullcontext() if is_held_here(path) else hold(path, "migrate"):
        before = current(store_url)
        if before == head_revision():
            return before
        _refuse_unknown(before)
        if before is not None:
            backup.make(path, instance, now, name="before-migration")
        with turns_for(path.resolve()):
            _upgrade(path, now)
    return head_revision()


def current(url: str) -> str | None:
    """The revision that a database's tables are at; None where there are no tables."""
    path = database_path(url)
    if not path.exists():
        return None
    with reading_only(path) as session:
        return MigrationContext.configure(session.connection()).get_current_revision()


def head_revision() -> str:
    """The revision that this program's tables are at."""
    revision = ScriptDirectory.from_config(_config()).get_current_head()
    assert revision is not None
    return revision


def revisions() -> list[Script]:
    """All revisions, the newest first."""
    return list(ScriptDirectory.from_config(_config()).walk_revisions())


def refuse_downgrade() -> None:
    """Say that there is no way back but a backup; each revision's downgrade. Raises Refused."""
    raise Refused("A database can't be taken back to older tables; restore the backup made before it.")


def _config() -> Config:
    package = Path(shoptrack.__file__).parent
    beside = package.parent / "migrations"
    folder = beside if (beside / "env.py").exists() else package / "migrations"
    config = Config()
    config.set_main_option("script_location", str(folder).replace("%", "%%"))
    return config


def _refuse_unknown(revision: str | None) -> None:
    known = {script.revision for script in revisions()}
    if revision is not None and revision not in known:
        raise Refused("This database was made by a newer shoptrack; install that version to open it.")


def _upgrade(path: Path, now: datetime) -> None:
    # foreign keys are off for the whole connection: inside a transaction the switch does nothing, and
    # with them on, a table rebuilt by a batch step would take its children along
    engine = make_engine(
        path, "BEGIN IMMEDIATE", ("PRAGMA journal_mode=WAL", "PRAGMA foreign_keys=OFF"), pool_size=1
    )
    try:
        _upgrade_in_one_transaction(engine, now)
    finally:
        engine.dispose()


def _upgrade_in_one_transaction(engine: Engine, now: datetime) -> None:
    with engine.begin() as connection:
        before = count_rows(connection)
        config = _config()
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        if connection.scalar(select(HeadRow.id)) is None:
            connection.execute(insert(HeadRow).values(id=1, database_id=secrets.token_hex(8), revision=0))
        _fill(connection, now)
        _refuse_lost_rows(before, count_rows(connection))
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if broken is not None:
            raise Refused(f"The new tables would leave a row of {broken[0]} pointing at nothing.")


def _fill(connection: Connection, now: datetime) -> None:
    """Make the rows that are reckoned from the log and that older tables had not.

    A log that can't be replayed keeps nobody from their shop: the rows are missing then, and
    ``replay --check`` says so.
    """
    try:
        with Session(connection) as session, session.begin_nested():
            worked.fill(session, now)
    except Exception:
        LOGGER.exception("The hours of the tools could not be made from the log.")


def count_rows(connection: Connection) -> dict[str, int]:
    """How many rows each table has."""
    tables = inspect(connection).get_table_names()
    return {t: connection.scalar(text(f'SELECT count(*) FROM "{t}"')) or 0 for t in tables}


def _refuse_lost_rows(before: dict[str, int], after: dict[str, int]) -> None:
    for table, count in before.items():
        if after.get(table, 0) < count:
            raise Refused(
                f"The new tables would lose rows of {table}: {count} before, {after.get(table, 0)} after."
            )
