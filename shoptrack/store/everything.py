"""Every table of the shop → plain rows that JSON can hold, and such rows back into an empty database."""

import base64
import math
import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    Float,
    Integer,
    LargeBinary,
    Table,
    Time,
    func,
    insert,
    select,
    text,
    update,
)
from sqlalchemy.exc import DatabaseError, StatementError
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.base import Instant, Json
from shoptrack.store.db import reading_only
from shoptrack.store.tables import Base, HeadRow, PhotoRow


@dataclass(frozen=True, slots=True)
class Beside:
    """A database that another program may be serving, opened for reading alone."""

    path: Path
    instance: Path

    def reading(self) -> AbstractContextManager[Session]:
        """A session that sees one moment of it."""
        return reading_only(self.path)


Plain = Any
"""What JSON can hold."""

LEFT_OUT = frozenset({"head", "devices", "pairings", "pins", "feed"})
"""What belongs to one database and its devices, or is secret: it is never taken out."""

_AT_ONCE = 500
_GREATEST_WHOLE = 2**63 - 1


def tables() -> tuple[Table, ...]:
    """The tables that are taken out, each after those that it points at."""
    return tuple(table for table in Base.metadata.sorted_tables if table.name not in LEFT_OUT)


def columns_of(table: Table) -> tuple[str, ...]:
    """The names of a table's columns."""
    return tuple(column.name for column in table.columns)


def rows_of(session: Session, table: Table) -> Iterator[list[Plain]]:
    """A table's rows as plain values, by its key; some hundreds at a time are in memory.

    The history of what is never taken out is not taken out either.
    """
    chosen = select(table).order_by(*table.primary_key.columns)
    if table.name == "edits":
        chosen = chosen.where(table.c.table_name.not_in(LEFT_OUT))
    for row in session.execute(chosen.execution_options(yield_per=_AT_ONCE)):
        yield [_plain(value) for value in row]


def _plain(value: object) -> Plain:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    return value.isoformat() if isinstance(value, (date, time)) else value


def is_empty(session: Session) -> bool:
    """Whether no table has a row, so that a whole shop may be put in."""
    return not any(session.scalar(select(func.count()).select_from(table)) for table in tables())


def put(session: Session, table: Table, rows: Sequence[Sequence[Plain]]) -> None:
    """Add plain rows to a table as they are, ids and all. Raises BadInput where one can't be such a row.

    What they point at may come later in the same transaction.
    """
    columns = list(table.columns)
    values = [_typed(table, columns, row) for row in rows]
    session.execute(text("PRAGMA defer_foreign_keys=ON"))
    try:
        session.execute(insert(table), values)
    except (DatabaseError, StatementError, ValueError) as problem:
        raise BadInput(f"A row of {table.name} in the file breaks a rule of the shop’s tables.") from problem


def _typed(table: Table, columns: Sequence[Column[Any]], row: Sequence[Plain]) -> dict[str, object]:
    if len(row) != len(columns):
        raise BadInput(f"A row of {table.name} in the file has {len(row)} values, not {len(columns)}.")
    return {c.name: _value(table, c, said) for c, said in zip(columns, row, strict=True)}


def _value(table: Table, column: Column[Any], said: Plain) -> object:
    """One value by its column's type."""
    if said is None:
        if column.nullable:
            return None
    else:
        try:
            return _reader(column.type)(said)
        except (ValueError, TypeError):
            pass
    raise BadInput(f"A row of {table.name} in the file has a {column.name} that can’t be read.")


def _whole(said: Plain) -> int:
    if type(said) is not int or abs(said) > _GREATEST_WHOLE:
        raise ValueError("no whole number")
    return said


def _yes_or_no(said: Plain) -> bool:
    if type(said) is not bool:
        raise ValueError("neither yes nor no")
    return said


def _number(said: Plain) -> float:
    if type(said) not in (int, float) or not math.isfinite(said):
        raise ValueError("no number")
    return float(said)


def _words(said: Plain) -> str:
    if not isinstance(said, str):
        raise TypeError("no text")
    said.encode("utf-8")
    return said


def _instant(said: Plain) -> datetime:
    at = datetime.fromisoformat(_words(said))
    if at.tzinfo is None:
        raise ValueError("an instant without a zone")
    return at


_READERS: tuple[tuple[type, Callable[[Plain], object]], ...] = (
    (Integer, _whole),
    (Boolean, _yes_or_no),
    (Float, _number),
    (Date, lambda said: date.fromisoformat(_words(said))),
    (Time, lambda said: time.fromisoformat(_words(said))),
    (Instant, _instant),
    (LargeBinary, lambda said: base64.b64decode(_words(said), validate=True)),
    (Json, lambda said: said),
)


def _reader(kind: object) -> Callable[[Plain], object]:
    return next((read for known, read in _READERS if isinstance(kind, known)), _words)


def points_at_nothing(session: Session) -> str:
    """The name of a table with a row that points at nothing; empty where all is well.

    Asked before the commit: one that fails would leave the transaction open.
    """
    broken = session.execute(text("PRAGMA foreign_key_check")).first()
    return "" if broken is None else str(broken[0])


def renew(session: Session) -> None:
    """Give the database a new id, so that tablets which knew another one offer what they have again."""
    session.execute(update(HeadRow).values(database_id=secrets.token_hex(8)))


def photos(session: Session) -> list[tuple[int, int, str]]:
    """Every photo: its id, bytes and fingerprint."""
    rows = session.execute(select(PhotoRow.id, PhotoRow.size_bytes, PhotoRow.sha256))
    return [(id, size, sha256) for id, size, sha256 in rows]
