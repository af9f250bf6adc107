"""Tables of jobs and their stages, with what each stage needs and demands."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shoptrack.store.base import Base, Instant
from shoptrack.store.tables.customers import CustomerRow
from shoptrack.store.tables.planned import Planned


class JobRow(Base):
    """One order: a customer, pieces, a promised date, a price. ``closed_at`` set: no longer open.

    A deposit taken is owed to the customer until the job is delivered. A job that was called off says why.
    """

    __tablename__ = "jobs"
    id: Mapped[int] = mapped_column(primary_key=True)
    tag: Mapped[str]
    title: Mapped[str]
    customer_id: Mapped[int] = mapped_column(ForeignKey("customers.id"))
    pieces: Mapped[int]
    pattern_revision_id: Mapped[int | None] = mapped_column(ForeignKey("pattern_revisions.id"))
    promised_on: Mapped[date | None]
    must_keep: Mapped[bool] = mapped_column(default=False)
    price_cents: Mapped[int | None]
    deposit_cents: Mapped[int | None]
    deposit_on: Mapped[date | None]
    delivered_on: Mapped[date | None]
    called_off_why: Mapped[str | None]
    notes: Mapped[str] = mapped_column(default="")
    added_at: Mapped[datetime] = mapped_column(Instant)
    closed_at: Mapped[datetime | None] = mapped_column(Instant)
    buyer: Mapped[CustomerRow] = relationship(lazy="joined", innerjoin=True)
    stages: Mapped[list["StageRow"]] = relationship(order_by="StageRow.position", back_populates="job")
    __table_args__ = (
        CheckConstraint("pieces > 0", name="pieces"),
        Index(None, "closed_at"),
        Index(None, "tag"),
        Index(None, "customer_id"),
    )

    @property
    def customer(self) -> str:
        """The customer's name."""
        return self.buyer.name


class StageRow(Planned, Base):
    """One step of a job. ``removed_at`` set: it was taken out of the job again; its work stays in the log."""

    __tablename__ = "stages"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    quantity: Mapped[float]
    removed_at: Mapped[datetime | None] = mapped_column(Instant)
    job: Mapped[JobRow] = relationship(back_populates="stages")
    needs: Mapped[list["StageNeedRow"]] = relationship(foreign_keys="StageNeedRow.stage_id")
    clamps: Mapped[list["StageClampRow"]] = relationship()
    tools: Mapped[list["StageToolRow"]] = relationship()
    __table_args__ = (
        UniqueConstraint("job_id", "position"),
        CheckConstraint("quantity > 0", name="quantity"),
        CheckConstraint("people >= 1", name="people"),
    )


class StageNeedRow(Base):
    """A stage that must be done before another, with the waits between."""

    __tablename__ = "stage_needs"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    needs_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    by_rounds: Mapped[bool] = mapped_column(default=False)
    least_wait_min: Mapped[float] = mapped_column(default=0.0)
    greatest_wait_min: Mapped[float | None]
    __table_args__ = (CheckConstraint("stage_id <> needs_id", name="not_itself"),)


class StageClampRow(Base):
    """Clamps that a stage holds while a round of it cures."""

    __tablename__ = "stage_clamps"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    pool_id: Mapped[int] = mapped_column(ForeignKey("pools.id"), primary_key=True)
    count: Mapped[int]
    per_piece: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (CheckConstraint("count > 0", name="count"),)


class StageToolRow(Base):
    """A tool that a stage uses, and the share of its time the edge is cutting."""

    __tablename__ = "stage_tools"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    tool_id: Mapped[int] = mapped_column(ForeignKey("tools.id"), primary_key=True)
    share: Mapped[float] = mapped_column(default=1.0)
    __table_args__ = (CheckConstraint("share > 0 AND share <= 1", name="share"), Index(None, "tool_id"))
