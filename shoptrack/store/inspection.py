"""A database file looked at from outside, read-only, becomes lines that say how it is and what is wrong."""

import platform
import shutil
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy.orm import Session

import shoptrack
from shoptrack.engine.replay import replay
from shoptrack.store import backup, log, snapshot, tally, worked
from shoptrack.store.db import database_path, head, reading_only
from shoptrack.store.migrate import current, head_revision
from shoptrack.store.shop import find_shop

LEAST_FREE_BYTES = 200 * 1024 * 1024
# Source: sqlite.org/wal.html, on the WAL-reset bug; from memory
LAST_WITH_RESET_FAULT = (3, 51, 2)


@dataclass(frozen=True)
class Finding:
    """One thing looked at: its name, what was found, and whether that is wrong."""

    name: str
    words: str
    wrong: bool = False


def look(url: str, instance: Path, now: datetime) -> list[Finding]:
    """Everything worth knowing about an instance. Raises Refused for an address that can't be used."""
    path = database_path(url)
    found = [
        Finding("shoptrack", shoptrack.__version__),
        Finding("Python", platform.python_version()),
        Finding("SQLite", sqlite_words(sqlite3.sqlite_version_info)),
        Finding("database", str(path)),
    ]
    if not path.exists():
        return [*found, Finding("database", "there is none yet; run: shoptrack migrate", wrong=True)]
    fault = backup.fault_in(path)
    found.append(Finding("integrity", fault or "whole", bool(fault)))
    if not fault:
        found += _inside(url, path, now)
    return [*found, _free_space(path), *_backups(instance)]


def sqlite_words(version: tuple[int, ...]) -> str:
    """A SQLite version with what it means for the database."""
    words = ".".join(str(part) for part in version)
    if version > LAST_WITH_RESET_FAULT:
        return words
    return (
        f"{words} (up to 3.51.2 a checkpoint beside a write can damage a database; here only the one "
        "writer of serve makes checkpoints, between its writes, so it can't happen)"
    )


def replay_check(session: Session, now: datetime) -> list[str]:
    """Where the tally, or when tools were at work, differs from the whole log replayed.

    Empty: nowhere, or no shop is set up.
    """
    if find_shop(session) is None:
        return []
    world = snapshot.whole_world(session)
    state = replay(log.whole_log(session), world, now)
    works = [work for passes in state.passes.values() for work in passes]
    return tally.differences(session, works) + worked.differences(session, works, world)


def _inside(url: str, path: Path, now: datetime) -> list[Finding]:
    revision = current(url)
    if revision != head_revision():
        words = f"{revision or 'none'}, this program's is {head_revision()}; run: shoptrack migrate"
        return [Finding("tables", words, wrong=True)]
    with reading_only(path) as session:
        seen = head(session)
        different = replay_check(session, now)
    return [
        Finding("tables", revision),
        Finding("database id", seen.database_id),
        Finding("revision", str(seen.revision)),
        Finding(
            "replay check",
            "the tally agrees with the log" if not different else different[0],
            bool(different),
        ),
    ]


def _free_space(path: Path) -> Finding:
    free = shutil.disk_usage(path.parent).free
    return Finding("free space", f"{free // (1024 * 1024):,} MB", free < LEAST_FREE_BYTES)


def _backups(instance: Path) -> list[Finding]:
    good = backup.list_good(instance / "backups")
    words = f"{good[-1].at.isoformat()} {good[-1].file.name}" if good else "none yet"
    failure = backup.last_failure(instance)
    found = [Finding("last backup", words)]
    if failure is not None:
        found.append(Finding("backup failed", f"{failure[0].isoformat()} {failure[1]}", wrong=True))
    return found
