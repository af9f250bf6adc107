"""The base of all tables: naming, the column types that refuse what would be lost, and one mixin."""

import json
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, MetaData, Text
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import TypeDecorator

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """Every table of the shop."""

    metadata = MetaData(naming_convention=NAMING)


class Instant(TypeDecorator[datetime]):
    """An aware UTC instant; a naive value is refused because SQLite would lose the zone unseen."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the database UTC, naive where it keeps no zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant without a zone can't be stored")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the program an aware instant back."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Json(TypeDecorator[Any]):
    """A JSON value kept as text with sorted keys, so that equal values are equal bytes."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Write the value as text."""
        return None if value is None else json.dumps(value, sort_keys=True, ensure_ascii=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """Read the text as a value."""
        return None if value is None else json.loads(value)


class Retirable:
    """A thing that is never deleted once used, only retired."""

    retired_at: Mapped[datetime | None] = mapped_column(Instant)
