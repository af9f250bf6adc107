"""Tables of what was foretold of stages, and of what people said about times that looked wrong."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant


class PredictionRow(Base):
    """The hands-on minutes foretold for one pass of a stage, or for a time from before the log.

    ln(minutes) ~ Student-t(``df``, ``loc``, ``scale``), by what was finished before ``started_at``; it counts
    while the pass still began then. ``later``: reckoned after that instant, from the same logs.
    """

    __tablename__ = "predictions"
    id: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("stages.id"))
    redo: Mapped[int] = mapped_column(default=0)
    past_time_id: Mapped[int | None] = mapped_column(ForeignKey("past_times.id"))
    method: Mapped[str]
    started_at: Mapped[datetime] = mapped_column(Instant)
    quantity: Mapped[float]
    df: Mapped[float]
    loc: Mapped[float]
    scale: Mapped[float]
    logs: Mapped[int]
    of_pattern: Mapped[int]
    later: Mapped[bool] = mapped_column(default=False)
    made_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (
        UniqueConstraint("stage_id", "redo", "method"),
        UniqueConstraint("past_time_id", "method"),
        CheckConstraint("(stage_id IS NULL) <> (past_time_id IS NULL)", name="one_thing"),
        CheckConstraint("df > 0 AND scale > 0", name="spread"),
    )


class LogAnswerRow(Base):
    """What somebody said of a time that looked wrong: it counts like any other, or it is left out."""

    __tablename__ = "log_answers"
    id: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("stages.id"))
    redo: Mapped[int] = mapped_column(default=0)
    past_time_id: Mapped[int | None] = mapped_column(ForeignKey("past_times.id"))
    counts: Mapped[bool]
    said_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    __table_args__ = (
        UniqueConstraint("stage_id", "redo"),
        UniqueConstraint("past_time_id"),
        CheckConstraint("(stage_id IS NULL) <> (past_time_id IS NULL)", name="one_thing"),
    )
