"""A backup file becomes the shop's database again; what was there is set aside, not deleted."""

import os
import secrets
import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from shoptrack.errors import BadInput, Refused
from shoptrack.store.backup import (
    DATABASE,
    PHOTOS,
    SETTINGS,
    copy_database,
    fault_in,
    open_read_only,
)
from shoptrack.store.db import Store
from shoptrack.store.lock import hold, refuse_network_drive
from shoptrack.store.migrate import migrate


def restore(file: Path, database: Path, instance: Path, now: datetime) -> Path:
    """Put a backup in the place of the database and give the folder that holds what was there.

    The database gets a new id, so that tablets offer what they have again. Photos come back; the present
    config.toml stays where there is one. Raises Refused while another program uses the database,
    BadInput when the file is no whole backup; then nothing has changed.
    """
    refuse_network_drive(database)
    with hold(database, "restore"):
        instance.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=database.parent, prefix=".restoring-") as work:
            fresh = _unpack(file, Path(work))
            _renew(fresh / DATABASE)
            aside = _set_aside(database, instance, now)
            _put_back(fresh, database, instance)
    return aside


def restore_live(store: Store, file: Path, now: datetime) -> Path:
    """Put a backup into the database of a running server and give the folder that holds what was there.

    Readers see the old shop until the new one is whole; writers wait. Tables of an older version are
    brought up to date first. Raises BadInput when the file is no whole backup, Refused when it is of a
    newer program; then nothing has changed.
    """
    with TemporaryDirectory(dir=store.path.parent, prefix=".restoring-") as work:
        fresh = _unpack(file, Path(work))
        _renew(fresh / DATABASE)
        migrate(f"sqlite:///{fresh / DATABASE}", fresh, now)
        with store.alone() as live:
            aside = _free_folder(store.instance / _aside_name(now))
            aside.mkdir(parents=True)
            copy_database(store.path, aside / DATABASE)
            _keep_keys(fresh / DATABASE, aside / DATABASE)
            _swap_photos(fresh, store.instance, aside)
            try:
                with closing(open_read_only(fresh / DATABASE)) as source:
                    source.backup(live)
            except sqlite3.Error as problem:
                _swap_photos(aside, store.instance, fresh)
                raise Refused(f"The backup could not be put in place: {problem}.") from problem
    return aside


def _keep_keys(fresh: Path, present: Path) -> None:
    """Let the keys be those of now: a tablet sent away since the backup must not come back with it."""
    with closing(sqlite3.connect(fresh)) as connection, connection:
        connection.execute("ATTACH ? AS present", (str(present),))
        for table in ("devices", "pairings", "feed"):
            connection.execute(f"DELETE FROM {table}")
            connection.execute(f"INSERT INTO {table} SELECT * FROM present.{table}")
        connection.execute("DELETE FROM pins")
        connection.execute(
            "INSERT INTO pins SELECT * FROM present.pins WHERE person_id IN (SELECT id FROM people)"
        )


def _swap_photos(source: Path, instance: Path, aside: Path) -> None:
    if (instance / PHOTOS).exists():
        os.replace(instance / PHOTOS, aside / PHOTOS)
    if (source / PHOTOS).exists():
        os.replace(source / PHOTOS, instance / PHOTOS)


def _unpack(file: Path, work: Path) -> Path:
    try:
        with zipfile.ZipFile(file) as bundle:
            if bundle.testzip() is not None or DATABASE not in bundle.namelist():
                raise BadInput(f"{file} is not a whole backup of a shop.")
            bundle.extractall(work)  # it never leaves the folder: absolute names and .. are dropped
    except FileNotFoundError as problem:
        raise BadInput(f"There is no file {file}.") from problem
    except (OSError, zipfile.BadZipFile) as problem:
        raise BadInput(f"{file} is not a backup of a shop: {problem}.") from problem
    if fault := fault_in(work / DATABASE):
        raise BadInput(f"The database in {file} is not whole: {fault}.")
    return work


def _renew(database: Path) -> None:
    """Give the database a new id, checked for being a shop's on the way, and its bytes to the disk."""
    try:
        with closing(sqlite3.connect(database)) as connection, connection:
            connection.execute(
                "UPDATE head SET database_id = ?, revision = revision + 1", (secrets.token_hex(8),)
            )
    except sqlite3.Error as problem:
        raise BadInput(f"The database in the backup is not a shop's: {problem}.") from problem
    with open(database, "rb+") as file:
        os.fsync(file.fileno())


def _set_aside(database: Path, instance: Path, now: datetime) -> Path:
    """Copy what is there as it is, damaged or not, with the log of writes that belongs to it."""
    aside = _free_folder(instance / _aside_name(now))
    aside.mkdir(parents=True)
    for end in ("", "-wal"):
        part = database.with_name(database.name + end)
        if part.exists():
            shutil.copy2(part, aside / part.name)
    if (instance / PHOTOS).exists():
        os.replace(instance / PHOTOS, aside / PHOTOS)
    return aside


def _aside_name(now: datetime) -> str:
    return f"set-aside-{now.astimezone(UTC).strftime('%Y%m%dT%H%M%SZ')}"


def _free_folder(folder: Path) -> Path:
    tries = 1
    while folder.exists():
        tries += 1
        folder = folder.with_name(f"{folder.name.split('.')[0]}.{tries}")
    return folder


def _put_back(fresh: Path, database: Path, instance: Path) -> None:
    for end in ("-wal", "-shm"):  # an old log of writes beside the new file would damage it
        database.with_name(database.name + end).unlink(missing_ok=True)
    os.replace(fresh / DATABASE, database)
    if (fresh / PHOTOS).exists():
        os.replace(fresh / PHOTOS, instance / PHOTOS)
    if (fresh / SETTINGS).exists() and not (instance / SETTINGS).exists():
        os.replace(fresh / SETTINGS, instance / SETTINGS)
