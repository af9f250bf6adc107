"""The append-only log of work, what was kept beside it, and the tally that is rebuilt from it."""

from datetime import datetime
from typing import Any

from sqlalchemy import DDL, CheckConstraint, ForeignKey, Index, UniqueConstraint, event
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Json


class EntryRow(Base):
    """One tap. Never changed, never deleted, never replaced; a trigger refuses all three.

    ``at`` is the instant it counts from, ``tapped_at`` the corrected instant of the tap, ``body`` what the
    tablet said beside the columns, ``body_hash`` the fingerprint of all that it sent.
    """

    __tablename__ = "entries"
    n: Mapped[int] = mapped_column(primary_key=True)
    id: Mapped[str] = mapped_column(unique=True)
    device: Mapped[str]
    seq: Mapped[int]
    at: Mapped[datetime] = mapped_column(Instant)
    tapped_at: Mapped[datetime] = mapped_column(Instant)
    received_at: Mapped[datetime] = mapped_column(Instant)
    kind: Mapped[str]
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id"))
    of_id: Mapped[str | None] = mapped_column(ForeignKey("entries.id"))
    version: Mapped[int] = mapped_column(default=1)
    limit_min: Mapped[float | None]
    body: Mapped[Any] = mapped_column(Json)
    body_hash: Mapped[str]
    __table_args__ = (
        UniqueConstraint("device", "seq"),
        Index(None, "at"),
        Index(None, "of_id"),
        Index(None, "person_id", "at"),
        Index(None, "job_id"),
        Index(None, "kind", "at"),
    )


class EntryStageRow(Base):
    """A stage that an entry speaks of; an entry of stages done together has several."""

    __tablename__ = "entry_stages"
    entry_n: Mapped[int] = mapped_column(ForeignKey("entries.n"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"))
    __table_args__ = (Index(None, "stage_id"),)


class SetAsideRow(Base):
    """A tap that can't be taken, kept as it came, with the reason in plain words."""

    __tablename__ = "set_aside"
    n: Mapped[int] = mapped_column(primary_key=True)
    id: Mapped[str]
    device: Mapped[str]
    body: Mapped[Any] = mapped_column(Json)
    body_hash: Mapped[str]
    reason: Mapped[str]
    received_at: Mapped[datetime] = mapped_column(Instant)
    seen_at: Mapped[datetime | None] = mapped_column(Instant)
    __table_args__ = (UniqueConstraint("id", "body_hash"),)


class KeptRow(Base):
    """A tap that came while the server's clock was behind the log; its time is settled when that is right."""

    __tablename__ = "kept"
    n: Mapped[int] = mapped_column(primary_key=True)
    id: Mapped[str] = mapped_column(unique=True)
    device: Mapped[str]
    seq: Mapped[int]
    device_at: Mapped[datetime] = mapped_column(Instant)
    body: Mapped[Any] = mapped_column(Json)
    body_hash: Mapped[str]
    received_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (UniqueConstraint("device", "seq"),)


class TallyRow(Base):
    """What replay says of one pass of one stage; rewritten with each tap that touches it."""

    __tablename__ = "tally"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    redo: Mapped[int] = mapped_column(primary_key=True)
    standing: Mapped[str]
    quantity: Mapped[float]
    attended_min: Mapped[float]
    elapsed_min: Mapped[float]
    machine_min: Mapped[float]
    mend_min: Mapped[float]
    mend_cents: Mapped[int]
    started_at: Mapped[datetime | None] = mapped_column(Instant)
    finished_at: Mapped[datetime | None] = mapped_column(Instant)
    teaches: Mapped[bool]
    why_not: Mapped[str] = mapped_column(default="")
    together: Mapped[str] = mapped_column(default="")
    __table_args__ = (
        CheckConstraint(
            "standing IN ('not started', 'in hand', 'running', 'set down', 'put aside', 'done')",
            name="standing",
        ),
        Index(None, "finished_at"),
    )


APPEND_ONLY = {
    "entries_no_update": "BEFORE UPDATE ON entries",
    "entries_no_delete": "BEFORE DELETE ON entries",
    "entry_stages_no_update": "BEFORE UPDATE ON entry_stages",
    "entry_stages_no_delete": "BEFORE DELETE ON entry_stages",
}
"""Triggers by name; REPLACE is refused by the delete trigger with recursive_triggers on."""


def trigger_sql(name: str) -> str:
    """The statement that makes one of the triggers of APPEND_ONLY on SQLite."""
    return (
        f"CREATE TRIGGER {name} {APPEND_ONLY[name]} "
        "BEGIN SELECT RAISE(ABORT, 'the log of work is never changed'); END"
    )


for _name in APPEND_ONLY:
    _ddl = DDL(trigger_sql(_name))  # type: ignore[no-untyped-call] # untyped in the library
    event.listen(Base.metadata, "after_create", _ddl.execute_if(dialect="sqlite"))
