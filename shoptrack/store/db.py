"""A database address becomes a store: transactions for reading and writing, and the head they move."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sqlalchemy import Engine, create_engine, event, select, update
from sqlalchemy.engine import Connection, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, OperationalError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry, QueuePool

from shoptrack.errors import NotFound, Refused
from shoptrack.store.lock import refuse_network_drive, turns_for
from shoptrack.store.tables import HeadRow

WAL_LIMIT_BYTES = 4 * 1024 * 1024
BUSY_MS = 10_000

# autocheckpoint off: a checkpoint beside a commit of another connection can corrupt the file up to
# SQLite 3.51.2; recursive_triggers on: else INSERT OR REPLACE passes the triggers of the log.
PRAGMAS = (
    f"PRAGMA busy_timeout={BUSY_MS}",
    "PRAGMA wal_autocheckpoint=0",
    "PRAGMA synchronous=FULL",
    "PRAGMA recursive_triggers=ON",
)


@dataclass(frozen=True)
class Head:
    """Which database this is and how many writes it has seen."""

    database_id: str
    revision: int


class Store:
    """One database file with its readers and its one writer at a time."""

    def __init__(self, path: Path, instance: Path) -> None:
        self.path = path
        self.instance = instance
        self._turns = turns_for(path.resolve())
        self._reader = make_engine(path, "BEGIN", ("PRAGMA foreign_keys=ON", "PRAGMA query_only=ON"))
        self._writer = make_engine(
            path, "BEGIN IMMEDIATE", ("PRAGMA journal_mode=WAL", "PRAGMA foreign_keys=ON"), pool_size=1
        )
        self._checkpoint_above = WAL_LIMIT_BYTES

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one moment of the database and can't change it."""
        with Session(self._reader, autoflush=False, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that alone writes; leaving it commits, an exception takes everything back.

        A block that changed a row raises the head's revision once, in the same transaction.
        """
        with self._turns:
            with Session(self._writer, expire_on_commit=False) as session:
                raw = raw_of(session.connection())
                _raise_head_with(session, raw)
                try:
                    yield session
                    session.commit()
                except BaseException:
                    raw.rollback()  # a commit that fails leaves SQLite inside the transaction
                    raise
            self._checkpoint_when_large()

    @contextmanager
    def noting(self) -> Iterator[Session]:
        """As ``writing``, but the head stays where it is.

        Only for what no sheet, plan or document is made from, such as when a tablet was last seen: else every
        tablet would be sent everything again.
        """
        with self._turns, Session(self._writer, expire_on_commit=False) as session:
            raw = raw_of(session.connection())
            try:
                yield session
                session.commit()
            except BaseException:
                raw.rollback()  # as in writing
                raise

    @contextmanager
    def alone(self) -> Iterator[sqlite3.Connection]:
        """The writing connection itself, outside any transaction, while nobody else writes."""
        with self._turns:
            with self._writer.connect() as connection:
                yield raw_of(connection)
            self._reader.dispose()  # readers begin anew: what they had prepared was for other tables
            self._checkpoint_when_large()

    def close(self) -> None:
        """Bring the write-ahead log into the file and let go of it."""
        with self._turns:
            self._checkpoint()
            self._reader.dispose()
            self._writer.dispose()

    def _checkpoint_when_large(self) -> None:
        wal = self.path.with_name(self.path.name + "-wal")
        if wal.exists() and wal.stat().st_size > self._checkpoint_above:
            self._checkpoint()
            # where a reader held it up, wait for as much again before the next attempt
            self._checkpoint_above = wal.stat().st_size + WAL_LIMIT_BYTES

    def _checkpoint(self) -> None:
        with self._writer.connect() as connection:
            raw = raw_of(connection)
            raw.execute("PRAGMA busy_timeout=50")
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            raw.execute(f"PRAGMA busy_timeout={BUSY_MS}")


def open_store(url: str, instance: Path) -> Store:
    """Open the database of an address. Raises Refused for one that can't be used, NotFound without tables."""
    path = database_path(url)
    refuse_network_drive(path)
    if not path.exists():
        raise NotFound(f"There is no database at {path}; run: shoptrack migrate")
    store = Store(path, instance)
    try:
        with store.reading() as session:
            head(session)
    except OperationalError as problem:
        store.close()
        raise NotFound(f"{path} has no shop in it yet; run: shoptrack migrate") from problem
    return store


def database_path(url: str) -> Path:
    """The file that a database address names. Raises Refused for anything but a SQLite file."""
    try:
        address = make_url(url)
    except ArgumentError as problem:
        raise Refused(
            f"{url} is not a database address; one looks like sqlite:////home/ann/shop.db"
        ) from problem
    kind = address.get_backend_name()
    if kind == "postgresql":
        raise Refused(
            "PostgreSQL comes in a later version; until then the address must begin with sqlite:///"
        )
    if kind != "sqlite" or not address.database or ":memory:" in address.database:
        raise Refused("The database must be a SQLite file: its address begins with sqlite:///")
    return Path(address.database).absolute()


def head(session: Session) -> Head:
    """The head of the database as this session sees it."""
    row = session.execute(select(HeadRow.database_id, HeadRow.revision)).one()
    return Head(row.database_id, row.revision)


@contextmanager
def reading_only(path: Path) -> Iterator[Session]:
    """A session on a file opened read-only, for programs beside the one that serves it."""
    engine = make_engine(path, "BEGIN", (), pool_size=1, mode="ro")
    try:
        with Session(engine, autoflush=False, expire_on_commit=False) as session:
            yield session
    finally:
        engine.dispose()


def make_engine(
    path: Path,
    begin: str,
    pragmas: tuple[str, ...],
    pool_size: int = 8,
    mode: Literal["rwc", "rw", "ro"] = "rwc",
) -> Engine:
    """An engine on a SQLite file that opens its transactions with ``begin``, not with the driver's own."""
    address = f"{path.absolute().as_uri()}?mode={mode}"
    engine = create_engine(
        "sqlite://",
        creator=lambda: sqlite3.connect(address, uri=True, check_same_thread=False),
        poolclass=QueuePool,
        pool_size=pool_size,
        max_overflow=0 if pool_size == 1 else 24,
    )

    @event.listens_for(engine, "connect")
    def set_up(raw: DBAPIConnection, _: ConnectionPoolEntry) -> None:
        raw.isolation_level = None
        cursor = raw.cursor()
        for pragma in (*PRAGMAS, *pragmas):
            cursor.execute(pragma)
        cursor.close()

    @event.listens_for(engine, "begin")
    def begin_now(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


def raw_of(connection: Connection) -> sqlite3.Connection:
    """The driver's own connection behind one of SQLAlchemy's."""
    raw = connection.connection.driver_connection
    assert isinstance(raw, sqlite3.Connection)
    return raw


def _raise_head_with(session: Session, raw: sqlite3.Connection) -> None:
    """Count the rows that the driver says were changed, so that Core statements count too."""
    seen = raw.total_changes

    @event.listens_for(session, "before_commit")
    def raise_head(session: Session) -> None:
        nonlocal seen
        session.flush()
        if raw.total_changes != seen:
            session.execute(update(HeadRow).values(revision=HeadRow.revision + 1))
        seen = raw.total_changes
