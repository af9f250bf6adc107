"""The thread that backs up while a server runs."""

import threading
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from shoptrack.store import backup, keeper
from shoptrack.store.db import Store
from shoptrack.store.keeper import Keeper
from shoptrack.store.tables import MaterialRow
from tests.store.making import NOW


def test_it_looks_whether_one_is_due(store: Store, tmp_path: Path) -> None:
    now = NOW

    def clock() -> datetime:
        return now

    looking = Keeper(store, clock, tmp_path / "second")
    assert looking.look() is not None
    now = NOW + timedelta(days=2)
    assert looking.look() is None  # nothing was written since
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    assert looking.look() is not None
    assert len(list((tmp_path / "second").iterdir())) == 2


def test_a_failure_is_noted_and_does_not_end_it(store: Store, tmp_path: Path) -> None:
    (tmp_path / "blocked").touch()
    assert Keeper(store, lambda: NOW, tmp_path / "blocked").look() is None
    assert backup.last_failure(tmp_path) is not None


def test_the_thread_makes_one_at_once_and_stops_when_told(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = threading.Event()
    real = backup.keep

    def keep_and_tell(database: Path, instance: Path, now: datetime, second: Path | None) -> Path:
        file = real(database, instance, now, second)
        made.set()
        return file

    monkeypatch.setattr(keeper.backup, "keep", keep_and_tell)
    running = Keeper(store, lambda: NOW)
    running.start()
    assert made.wait(30)
    running.stop()
    assert len(backup.list_good(tmp_path / "backups")) == 1
