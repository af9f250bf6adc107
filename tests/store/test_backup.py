"""Copies of a shop in use: whole, checked, kept by age."""

import sqlite3
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shoptrack.errors import Refused
from shoptrack.store import backup
from shoptrack.store.db import Store, head
from shoptrack.store.tables import MaterialRow
from tests.store.making import NOW

D = timedelta(days=1)


def names_in(file: Path, folder: Path) -> list[str]:
    """The materials in a backup's database."""
    with zipfile.ZipFile(file) as bundle:
        bundle.extract("shop.db", folder)
    with sqlite3.connect(folder / "shop.db") as raw:
        names = [name for (name,) in raw.execute("SELECT name FROM materials")]
    raw.close()
    return names


def test_a_copy_of_a_shop_in_use_has_what_was_committed(store: Store, tmp_path: Path) -> None:
    """The write-ahead log still holds the last write, another write is under way, and pages are open."""
    (tmp_path / "photos" / "K7").mkdir(parents=True)
    (tmp_path / "photos" / "K7" / "knot.jpg").write_bytes(b"picture")
    (tmp_path / "config.toml").write_text("port = 8751\n")
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    with store.reading() as reader, store.writing() as session:
        seen = head(reader)
        session.add(MaterialRow(name="elm"))
        session.flush()
        file = backup.make(store.path, tmp_path, NOW, tmp_path / "second")
    assert file == tmp_path / "backups" / "shop-20260302T090000Z.zip"
    assert (tmp_path / "second" / file.name).read_bytes() == file.read_bytes()
    with zipfile.ZipFile(file) as bundle:
        assert sorted(bundle.namelist()) == ["config.toml", "photos/K7/knot.jpg", "shop.db"]
        assert bundle.read("photos/K7/knot.jpg") == b"picture"
    assert names_in(file, tmp_path / "look") == ["ash"]
    (good,) = backup.list_good(tmp_path / "backups")
    assert (good.file, good.at, good.head) == (file, NOW, f"{seen.database_id} {seen.revision}")
    assert [path.name for path in (tmp_path / "backups").iterdir()] == [file.name]  # nothing half made


def test_a_damaged_database_makes_no_backup_and_is_noted(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        session.add_all(MaterialRow(name=f"{n} " + "x" * 500) for n in range(800))
    store.close()
    with open(store.path, "r+b") as file:
        file.seek(store.path.stat().st_size // 2)
        file.write(b"\xff" * 8192)
    assert backup.fault_in(store.path)
    with pytest.raises(Refused, match=r"not whole|could not be made"):
        backup.keep(store.path, tmp_path, NOW)
    noted = backup.last_failure(tmp_path)
    assert noted is not None
    assert noted[0] == NOW
    assert "not whole" in noted[1] or "could not be made" in noted[1]
    assert backup.list_good(tmp_path / "backups") == []


def test_a_failure_is_noted_until_a_backup_succeeds(store: Store, tmp_path: Path) -> None:
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the second folder should be")
    with pytest.raises(Refused, match="could not be made"):
        backup.keep(store.path, tmp_path, NOW, blocked)
    assert backup.last_failure(tmp_path) is not None
    backup.keep(store.path, tmp_path, NOW + D)
    assert backup.last_failure(tmp_path) is None


def test_old_backups_are_thinned_to_days_weeks_and_months(tmp_path: Path) -> None:
    """Three years of one a day: the last 7 days, the last of 8 weeks and of 24 months are kept."""
    start = datetime(2023, 3, 1, 12, tzinfo=UTC)
    for day in range(3 * 365):
        at = start + day * D
        (tmp_path / f"shop-{at.strftime('%Y%m%dT%H%M%SZ')}.zip").touch()
    (tmp_path / "before-migration-20230301T120000Z.zip").touch()
    backup.thin(tmp_path)
    kept = {good.at.date() for good in backup.list_good(tmp_path)}
    last = (start + (3 * 365 - 1) * D).date()  # Friday 27 February 2026
    assert {last - n * D for n in range(7)} <= kept
    sundays = {last - timedelta(days=5 + 7 * n) for n in range(7)}
    assert sundays <= kept
    months = {(day.year, day.month) for day in kept}
    assert len(months) == 24
    assert min(kept) == datetime(2024, 3, 31, tzinfo=UTC).date()
    # of 7 days one is a Sunday, and January's last day and November's are not Sundays
    assert len(kept) == 7 + 7 - 1 + 23
    assert (tmp_path / "before-migration-20230301T120000Z.zip").exists()


def test_a_backup_is_due_after_a_day_when_something_was_written(tmp_path: Path) -> None:
    last = backup.Good(tmp_path, NOW, "a 5")
    assert backup.is_due(None, "a 0", NOW)
    assert not backup.is_due(last, "a 6", NOW + D)
    assert backup.is_due(last, "a 6", NOW + D + timedelta(minutes=1))
    assert not backup.is_due(last, "a 5", NOW + 9 * D)
    assert backup.is_due(last, "b 5", NOW + 9 * D)


def test_no_note_is_no_failure(tmp_path: Path) -> None:
    assert backup.last_failure(tmp_path) is None
