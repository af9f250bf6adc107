"""A running shop's database, photos and settings become one checked file, kept for years; and back again."""

import os
import re
import shutil
import sqlite3
import zipfile
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from shoptrack.errors import Refused

DATABASE = "shop.db"
SETTINGS = "config.toml"
PHOTOS = "photos"
FAILURE = "last-failure.txt"
KEPT_DAYS, KEPT_WEEKS, KEPT_MONTHS = 7, 8, 24
DUE_AFTER = timedelta(hours=24)
_STAMP = "%Y%m%dT%H%M%SZ"
_NAME = re.compile(r"shop-(\d{8}T\d{6}Z)\.zip")


@dataclass(frozen=True)
class Good:
    """A backup that was made and checked: its file, when, and the head of the database in it."""

    file: Path
    at: datetime
    head: str


def make(
    database: Path, instance: Path, now: datetime, second: Path | None = None, name: str = "shop"
) -> Path:
    """Copy the shop into one zip file in the instance's backups folder and give its path.

    Takes the database file, the instance folder, now, a second folder to copy to, and the first word of
    the file's name. The copy is checked before it gets its name. Raises Refused when it can't be made.
    """
    folder = instance / "backups"
    final = folder / f"{name}-{now.astimezone(UTC).strftime(_STAMP)}.zip"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=folder, prefix=".making-") as work:
            copy = Path(work) / DATABASE
            copy_database(database, copy)
            packed = _pack(copy, instance, Path(work) / "backup.zip")
            _put(packed, final)
        if second is not None:
            _copy_whole(final, second)
    except (OSError, sqlite3.Error) as problem:
        raise Refused(f"The backup could not be made: {problem}.") from problem
    return final


def copy_database(database: Path, copy: Path) -> None:
    """Copy a database that may be in use, by SQLite's online backup, and check the copy.

    Raises Refused when the copy is not whole.
    """
    with closing(open_read_only(database)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")  # one file, with no log beside it
    if fault := fault_in(copy):
        raise Refused(f"The copy of the database is not whole: {fault}.")


def fault_in(database: Path) -> str:
    """What SQLite finds wrong with a database file; empty when it is whole."""
    try:
        with closing(open_read_only(database)) as connection:
            found = str(connection.execute("PRAGMA integrity_check").fetchone()[0])
            broken = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as problem:
        return str(problem)
    if found != "ok":
        return found
    return f"a row of {broken[0]} points at nothing" if broken else ""


def open_read_only(database: Path) -> sqlite3.Connection:
    """A connection that can neither write nor checkpoint."""
    connection = sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
    connection.execute("PRAGMA wal_autocheckpoint=0")
    return connection


def _pack(copy: Path, instance: Path, packed: Path) -> Path:
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as bundle:
        bundle.comment = _head_in(copy).encode()
        bundle.write(copy, DATABASE)
        if (instance / SETTINGS).exists():
            bundle.write(instance / SETTINGS, SETTINGS)
        for photo in sorted((instance / PHOTOS).rglob("*")):
            if photo.is_file():
                bundle.write(photo, photo.relative_to(instance).as_posix(), zipfile.ZIP_STORED)
    return packed


def _put(packed: Path, final: Path) -> None:
    """Give a finished file its name only once its bytes are on the disk."""
    with open(packed, "rb+") as file:
        os.fsync(file.fileno())
    os.replace(packed, final)
    if os.name == "posix":
        folder = os.open(final.parent, os.O_RDONLY)
        os.fsync(folder)
        os.close(folder)


def _head_in(database: Path) -> str:
    with closing(open_read_only(database)) as connection:
        row = connection.execute("SELECT database_id, revision FROM head").fetchone()
    return f"{row[0]} {row[1]}"


def _copy_whole(final: Path, second: Path) -> None:
    second.mkdir(parents=True, exist_ok=True)
    part = second / f".{final.name}.part"
    shutil.copyfile(final, part)
    _put(part, second / final.name)


def list_good(folder: Path) -> list[Good]:
    """The backups in a folder, oldest first."""
    found = []
    for file in folder.glob("shop-*.zip"):
        name = _NAME.fullmatch(file.name)
        if name is not None:
            at = datetime.strptime(name[1], _STAMP).replace(tzinfo=UTC)
            found.append(Good(file, at, _comment(file)))
    return sorted(found, key=lambda good: good.at)


def _comment(file: Path) -> str:
    try:
        with zipfile.ZipFile(file) as bundle:
            return bundle.comment.decode(errors="replace")
    except (OSError, zipfile.BadZipFile):
        return ""


def thin(folder: Path) -> None:
    """Keep the newest backup of each of the last seven days, eight weeks and 24 months that have one."""
    good = list_good(folder)
    wanted: set[Path] = set()
    for part, count in ((_day, KEPT_DAYS), (_week, KEPT_WEEKS), (_month, KEPT_MONTHS)):
        newest = {part(one.at): one.file for one in good}
        wanted.update(newest[period] for period in sorted(newest)[-count:])
    for one in good:
        if one.file not in wanted:
            one.file.unlink()


def _day(at: datetime) -> str:
    return at.strftime("%Y-%m-%d")


def _week(at: datetime) -> str:
    return at.strftime("%G-%V")


def _month(at: datetime) -> str:
    return at.strftime("%Y-%m")


def is_due(last: Good | None, head: str, now: datetime) -> bool:
    """Whether to back up: something was written since the last good copy and that is over a day old."""
    return last is None or (last.head != head and now - last.at > DUE_AFTER)


def keep(database: Path, instance: Path, now: datetime, second: Path | None = None) -> Path:
    """Make a backup, thin the old ones, and note down a failure or that there is none any more.

    Raises Refused when it could not be made.
    """
    try:
        file = make(database, instance, now, second)
        for folder in (instance / "backups", second):
            if folder is not None:
                thin(folder)
    except (Refused, OSError) as problem:
        note_failure(instance, now, str(problem))
        raise
    (instance / "backups" / FAILURE).unlink(missing_ok=True)
    return file


def note_failure(instance: Path, now: datetime, words: str) -> None:
    """Write down that a backup failed, where the Floor finds it."""
    folder = instance / "backups"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / FAILURE).write_text(f"{now.astimezone(UTC).isoformat()} {words}", encoding="utf-8")
    except OSError:
        return  # the disk that refused the backup refuses the note too; the age of the last copy tells


def last_failure(instance: Path) -> tuple[datetime, str] | None:
    """When the last backup failed and why; None when it succeeded."""
    try:
        at, _, words = (instance / "backups" / FAILURE).read_text(encoding="utf-8").partition(" ")
        return datetime.fromisoformat(at), words
    except (OSError, ValueError):
        return None
