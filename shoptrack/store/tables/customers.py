"""Tables of customers, and of what belongs to a job beside its stages: photos, extras, costs, last times."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Retirable


class CustomerRow(Retirable, Base):
    """Somebody who orders; two may have the same name."""

    __tablename__ = "customers"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    contact: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    address: Mapped[str] = mapped_column(default="")
    notes: Mapped[str] = mapped_column(default="")
    __table_args__ = (Index(None, "name"),)


class PhotoRow(Retirable, Base):
    """A photo of the work; the file is ``photos/<id>.jpg`` in the instance folder, without place data."""

    __tablename__ = "photos"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id"))
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("stages.id"))
    words: Mapped[str] = mapped_column(default="")
    width_px: Mapped[int]
    height_px: Mapped[int]
    size_bytes: Mapped[int]
    sha256: Mapped[str]
    added_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    __table_args__ = (Index(None, "job_id"), Index(None, "stage_id"))


class LastTimeRow(Retirable, Base):
    """What was said of one stage of a pattern when it was last made: minutes, what went wrong, a photo."""

    __tablename__ = "last_times"
    id: Mapped[int] = mapped_column(primary_key=True)
    pattern_id: Mapped[int] = mapped_column(ForeignKey("patterns.id"))
    line: Mapped[int]
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("stages.id"))
    said_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    minutes: Mapped[float | None]
    quantity: Mapped[float | None]
    trouble: Mapped[str] = mapped_column(default="")
    photo_id: Mapped[int | None] = mapped_column(ForeignKey("photos.id"))
    __table_args__ = (Index(None, "pattern_id", "line"),)


class ExtraRow(Base):
    """Something the customer asked for after the job was approved; numbered within the job."""

    __tablename__ = "extras"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    words: Mapped[str]
    cents: Mapped[int] = mapped_column(default=0)
    asked_on: Mapped[date]
    approved_on: Mapped[date | None]
    approved_how: Mapped[str] = mapped_column(default="")
    turned_down_on: Mapped[date | None]
    __table_args__ = (
        UniqueConstraint("job_id", "number"),
        CheckConstraint("approved_on IS NULL OR turned_down_on IS NULL", name="one_answer"),
    )


class CostRow(Retirable, Base):
    """Money that a job cost beside the hours: material, hardware, work done outside."""

    __tablename__ = "costs"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    spent_on: Mapped[date]
    kind: Mapped[str]
    words: Mapped[str] = mapped_column(default="")
    material_id: Mapped[int | None] = mapped_column(ForeignKey("materials.id"))
    quantity: Mapped[float | None]
    cents: Mapped[int]
    added_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (
        CheckConstraint("kind IN ('material', 'hardware', 'outside work', 'other')", name="kind"),
        Index(None, "job_id"),
    )
