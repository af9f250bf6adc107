"""Transactions, the head, and what may be opened."""

import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text, update
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound, Refused
from shoptrack.store import db
from shoptrack.store.db import Store, database_path, head, open_store, reading_only
from shoptrack.store.tables import CustomerRow, MaterialRow, PersonRow, PoolRow

ROOT = Path(__file__).parents[2]


def revision(store: Store) -> int:
    with store.reading() as session:
        return head(session).revision


def test_a_block_that_changed_a_row_raises_the_revision_once(store: Store) -> None:
    before = revision(store)
    with store.writing() as session:
        session.add(PersonRow(name="Ann"))
        session.flush()
        session.add(PersonRow(name="Ben"))
    assert revision(store) == before + 1


def test_core_statements_raise_the_revision_too(store: Store) -> None:
    before = revision(store)
    with store.writing() as session:
        session.execute(insert(MaterialRow), [{"name": "ash"}, {"name": "elm"}])
    assert revision(store) == before + 1


def test_a_block_that_changed_nothing_leaves_the_revision(store: Store) -> None:
    before = revision(store)
    with store.writing() as session:
        session.scalars(select(PersonRow)).all()
        session.execute(update(PersonRow).where(PersonRow.id == 99).values(name="nobody"))
    assert revision(store) == before


def test_an_error_takes_everything_back(store: Store) -> None:
    before = revision(store)

    def write_and_fail() -> None:
        with store.writing() as session:
            session.execute(insert(MaterialRow).values(name="ash"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    with store.reading() as session:
        assert session.scalars(select(MaterialRow)).all() == []
    assert revision(store) == before


def test_a_reading_session_never_becomes_a_write(store: Store) -> None:
    with store.reading() as session, pytest.raises(OperationalError, match="readonly"):
        session.execute(insert(MaterialRow).values(name="ash"))


def test_a_reading_session_sees_one_moment(store: Store) -> None:
    with store.reading() as reader:
        assert reader.scalars(select(MaterialRow)).all() == []
        with store.writing() as session:
            session.add(MaterialRow(name="ash"))
        assert reader.scalars(select(MaterialRow)).all() == []


def test_a_write_inside_a_write_is_a_mistake_and_no_standstill(store: Store) -> None:
    with store.writing(), pytest.raises(RuntimeError, match="inside a write"), store.writing():
        pass


def test_eight_threads_that_read_and_add_lose_nothing(store: Store) -> None:
    """Eight taps at once, a hundred times: each reads a count and writes one more; 800 in the end."""
    with store.writing() as session:
        session.add(PoolRow(id=1, name="80 cm", reach_mm=0))

    def add() -> None:
        for _ in range(100):
            with store.writing() as session:
                reach = session.scalar(select(PoolRow.reach_mm)) or 0
                session.execute(update(PoolRow).values(reach_mm=reach + 1))

    threads = [threading.Thread(target=add) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as session:
        assert session.scalar(select(PoolRow.reach_mm)) == 800


@pytest.mark.parametrize("mode", ["reading", "writing"])
def test_every_connection_has_the_measured_settings(store: Store, mode: str) -> None:
    with getattr(store, mode)() as session:
        got = {
            name: session.execute(text(f"PRAGMA {name}")).scalar()
            for name in ("wal_autocheckpoint", "synchronous", "foreign_keys", "recursive_triggers")
        }
        journal = session.execute(text("PRAGMA journal_mode")).scalar()
    assert got == {"wal_autocheckpoint": 0, "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1}
    assert journal == "wal"


def test_the_log_of_writes_is_brought_in_when_large(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    wal = store.path.with_name("shop.db-wal")
    with store.writing() as session:
        session.add(MaterialRow(name="x" * 100_000))
    assert wal.stat().st_size > 100_000
    monkeypatch.setattr(store, "_checkpoint_above", 100_000)
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    assert wal.stat().st_size == 0


def test_a_reader_that_holds_the_log_of_writes_up_fails_no_writer(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "_checkpoint_above", 0)
    with store.reading() as reader:
        head(reader)
        with store.writing() as session:
            session.add(MaterialRow(name="ash"))
    with store.reading() as session:
        assert session.scalars(select(MaterialRow.name)).all() == ["ash"]


def test_closing_leaves_one_file(store: Store) -> None:
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    store.close()
    assert not store.path.with_name("shop.db-wal").exists()


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("postgresql://localhost/shop", "PostgreSQL comes in a later version"),
        ("postgresql+psycopg://localhost/shop", "PostgreSQL comes in a later version"),
        ("mysql://localhost/shop", "must be a SQLite file"),
        ("sqlite://", "must be a SQLite file"),
        ("sqlite:///:memory:", "must be a SQLite file"),
        ("shop.db", "not a database address"),
    ],
)
def test_only_a_sqlite_file_is_opened(url: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        database_path(url)


def test_a_missing_or_empty_file_is_said_plainly(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'shop.db'}"
    with pytest.raises(NotFound, match="no database at"):
        open_store(url, tmp_path)
    assert not (tmp_path / "shop.db").exists()
    (tmp_path / "shop.db").touch()
    with pytest.raises(NotFound, match="no shop in it"):
        open_store(url, tmp_path)


def test_a_look_from_outside_can_neither_write_nor_bring_in(store: Store) -> None:
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    size = store.path.with_name("shop.db-wal").stat().st_size
    with reading_only(store.path) as session:
        assert session.scalar(select(MaterialRow.name)) == "ash"
        with pytest.raises(OperationalError, match="readonly"):
            session.execute(insert(MaterialRow).values(name="elm"))
    assert store.path.with_name("shop.db-wal").stat().st_size == size


@pytest.mark.parametrize("statement", [17, 42, 95, 178])
def test_a_kill_in_mid_write_loses_nothing_acknowledged(store: Store, url: str, statement: int) -> None:
    """A process writes and says each name once it is committed, and is killed in the middle of a write."""
    store.close()
    run = subprocess.run(
        [sys.executable, "-m", "tests.store.dying", "write", url, str(statement)],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert run.returncode == -signal.SIGKILL
    said = run.stdout.split("\n")[:-1]
    again = open_store(url, store.instance)
    with again.reading() as session:
        written = list(session.scalars(select(MaterialRow.name).order_by(MaterialRow.id)))
        seen = head(session)
    again.close()
    assert said
    assert written[: len(said)] == said
    assert len(written) - len(said) in (0, 1)  # the last may be on disk before it was said
    assert seen.revision == 1 + len(written)  # the plain shop was the first write


def test_the_limit_of_the_log_of_writes_is_a_few_megabytes() -> None:
    assert 1_000_000 < db.WAL_LIMIT_BYTES < 64_000_000


@pytest.mark.parametrize("how", ["writing", "noting"])
def test_a_commit_that_fails_leaves_the_writer_free(store: Store, how: str) -> None:
    """A key that points at nothing, found only at the commit: nothing is written, and the next write is."""
    with pytest.raises(IntegrityError):
        _point_at_nothing(getattr(store, how))
    with store.writing() as session:
        session.add(CustomerRow(name="Ms Fern"))
    with store.reading() as session:
        assert session.scalars(select(CustomerRow.name)).all() == ["Ms Fern"]
        assert session.execute(text("SELECT count(*) FROM photos")).scalar() == 0


def _point_at_nothing(write: Callable[[], AbstractContextManager[Session]]) -> None:
    photo = "INSERT INTO photos VALUES (1, 99, NULL, '', 1, 1, 1, '', '2026-01-01', NULL, NULL)"
    with write() as session:
        session.execute(text("PRAGMA defer_foreign_keys=ON"))
        session.execute(text(photo))
