"""A backup file becomes the shop's database again; what was there is set aside, not deleted."""

import logging
import os
import secrets
import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy.exc import SQLAlchemyError

from shoptrack.errors import BadInput, Refused, ShopError
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

LOGGER = logging.getLogger("shoptrack.restore")


def restore(file: Path, database: Path, instance: Path, now: datetime) -> Path:
    """Put a backup in the place of the database and give the folder that holds what was there.

    The database gets a new id, so that tablets offer what they have again. Photos come back; the present
    config.toml stays where there is one, and so do today's tablets, PINs and calendar address where the
    present database can be read. Tables of an older version are brought up to date first. Raises Refused
    while another program uses the database or the backup is of a newer program, BadInput when the file is
    no whole backup; then nothing has changed.
    """
    refuse_network_drive(database)
    with hold(database, "restore"):
        instance.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=database.parent, prefix=".restoring-") as work:
            fresh = _unpack(file, Path(work))
            _renew(fresh / DATABASE)
            migrate(f"sqlite:///{fresh / DATABASE}", fresh, now)
            aside = _set_aside(database, instance, now)
            _keep_what_can_be_read(fresh / DATABASE, aside / database.name, Path(work), now)
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
            _copy_photos(store.instance, aside)
            _copy_photos(fresh, store.instance)
            try:
                with closing(open_read_only(fresh / DATABASE)) as source:
                    source.backup(live)
            except sqlite3.Error as problem:
                _copy_photos(aside, store.instance)
                _leave_photos_of(aside, store.instance)
                raise Refused(f"The backup could not be put in place: {problem}.") from problem
            _leave_photos_of(fresh, store.instance)
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


def _keep_what_can_be_read(fresh: Path, aside: Path, work: Path, now: datetime) -> None:
    """Keep today's keys from a copy of what was set aside, which itself stays as it was found.

    A damaged database gives none: the keys are then those of the backup.
    """
    present = work / "present"
    present.mkdir()
    for end in ("", "-wal"):
        part = aside.with_name(aside.name + end)
        if part.exists():
            shutil.copy2(part, present / (DATABASE + end))
    if not (present / DATABASE).exists():
        return
    try:
        migrate(f"sqlite:///{present / DATABASE}", present, now)
        _keep_keys(fresh, present / DATABASE)
    except (sqlite3.Error, SQLAlchemyError, ShopError) as problem:
        LOGGER.warning("The tablets and PINs are those of the backup: %s", problem)


def _copy_photos(source: Path, target: Path) -> None:
    """Put the photos of a folder beside those of another, each file whole or not at all.

    A server that dies before the database is the new one has those of the old one still.
    """
    for name in _photos_in(source):
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        coming = target / f"{name}.coming"
        coming.unlink(missing_ok=True)
        try:
            os.link(source / name, coming)  # photos are never written over, so both may be one file
        except OSError:
            shutil.copy2(source / name, coming)
        os.replace(coming, target / name)
        coming.unlink(missing_ok=True)  # where both are one file, a rename does nothing


def _leave_photos_of(source: Path, instance: Path) -> None:
    """Take away the photos that are not in the source."""
    for name in _photos_in(instance) - _photos_in(source):
        (instance / name).unlink()


def _photos_in(folder: Path) -> frozenset[Path]:
    found = (file for file in (folder / PHOTOS).rglob("*") if file.is_file())
    return frozenset(file.relative_to(folder) for file in found)


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
