"""Tables of patterns: proven sequences of stages, revised and never overwritten."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shoptrack.store.base import Base, Instant, Retirable
from shoptrack.store.tables.planned import Planned


class PatternRow(Retirable, Base):
    """A kind of piece the shop knows how to make."""

    __tablename__ = "patterns"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    revisions: Mapped[list["PatternRevisionRow"]] = relationship(
        order_by="PatternRevisionRow.number", back_populates="pattern"
    )


class PatternRevisionRow(Base):
    """One state of a pattern."""

    __tablename__ = "pattern_revisions"
    id: Mapped[int] = mapped_column(primary_key=True)
    pattern_id: Mapped[int] = mapped_column(ForeignKey("patterns.id"))
    number: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    note: Mapped[str] = mapped_column(default="")
    pattern: Mapped[PatternRow] = relationship(back_populates="revisions")
    stages: Mapped[list["PatternStageRow"]] = relationship(order_by="PatternStageRow.position")
    __table_args__ = (UniqueConstraint("pattern_id", "number"),)


class PatternStageRow(Planned, Base):
    """A stage of a pattern: its quantity is ``fixed + per_piece × pieces`` in the kind's unit."""

    __tablename__ = "pattern_stages"
    id: Mapped[int] = mapped_column(primary_key=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("pattern_revisions.id"))
    fixed: Mapped[float] = mapped_column(default=0.0)
    per_piece: Mapped[float] = mapped_column(default=1.0)
    needs: Mapped[list["PatternNeedRow"]] = relationship(foreign_keys="PatternNeedRow.stage_id")
    clamps: Mapped[list["PatternClampRow"]] = relationship()
    tools: Mapped[list["PatternToolRow"]] = relationship()
    __table_args__ = (
        UniqueConstraint("revision_id", "position"),
        CheckConstraint("fixed >= 0 AND per_piece >= 0 AND fixed + per_piece > 0", name="quantity"),
        CheckConstraint("people >= 1", name="people"),
    )


class PatternNeedRow(Base):
    """A stage of a pattern that must be done before another, with the waits between."""

    __tablename__ = "pattern_needs"
    stage_id: Mapped[int] = mapped_column(ForeignKey("pattern_stages.id"), primary_key=True)
    needs_id: Mapped[int] = mapped_column(ForeignKey("pattern_stages.id"), primary_key=True)
    by_rounds: Mapped[bool] = mapped_column(default=False)
    least_wait_min: Mapped[float] = mapped_column(default=0.0)
    greatest_wait_min: Mapped[float | None]
    __table_args__ = (CheckConstraint("stage_id <> needs_id", name="not_itself"),)


class PatternClampRow(Base):
    """Clamps that a stage of a pattern holds."""

    __tablename__ = "pattern_clamps"
    stage_id: Mapped[int] = mapped_column(ForeignKey("pattern_stages.id"), primary_key=True)
    pool_id: Mapped[int] = mapped_column(ForeignKey("pools.id"), primary_key=True)
    count: Mapped[int]
    per_piece: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (CheckConstraint("count > 0", name="count"),)


class PatternToolRow(Base):
    """A tool that a stage of a pattern uses, and the share of its time the edge is cutting."""

    __tablename__ = "pattern_tools"
    stage_id: Mapped[int] = mapped_column(ForeignKey("pattern_stages.id"), primary_key=True)
    tool_id: Mapped[int] = mapped_column(ForeignKey("tools.id"), primary_key=True)
    share: Mapped[float] = mapped_column(default=1.0)
    __table_args__ = (CheckConstraint("share > 0 AND share <= 1", name="share"),)
