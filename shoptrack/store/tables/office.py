"""Tables of the office: rates, prices, closed months, past times brought in, devices, PINs, the calendar."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Json


class RateRow(Base):
    """What an hour costs from a date on: of hands (one person's, or NULL anybody's), or of a station."""

    __tablename__ = "rates"
    id: Mapped[int] = mapped_column(primary_key=True)
    what: Mapped[str]
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    station_id: Mapped[int | None] = mapped_column(ForeignKey("stations.id"))
    from_on: Mapped[date]
    cents_per_h: Mapped[int]
    __table_args__ = (
        CheckConstraint("what IN ('hands', 'machine')", name="what"),
        CheckConstraint("cents_per_h >= 0", name="not_negative"),
        CheckConstraint("person_id IS NULL OR station_id IS NULL", name="one_thing"),
    )


class MaterialPriceRow(Base):
    """What a material costs by its unit, from a date on."""

    __tablename__ = "material_prices"
    id: Mapped[int] = mapped_column(primary_key=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("materials.id"))
    from_on: Mapped[date]
    cents: Mapped[int]
    __table_args__ = (
        UniqueConstraint("material_id", "from_on"),
        CheckConstraint("cents >= 0", name="not_negative"),
    )


class MonthRow(Base):
    """A closed month with its figures as they were; later corrections show in the open month."""

    __tablename__ = "months"
    id: Mapped[int] = mapped_column(primary_key=True)
    first_on: Mapped[date] = mapped_column(unique=True)
    closed_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    figures: Mapped[Any] = mapped_column(Json)


class PastTimeRow(Base):
    """Minutes that a stage took before the log began, brought in from a file; they count as logged."""

    __tablename__ = "past_times"
    id: Mapped[int] = mapped_column(primary_key=True)
    finished_on: Mapped[date]
    job: Mapped[str]
    pattern: Mapped[str]
    pattern_id: Mapped[int | None] = mapped_column(ForeignKey("patterns.id"))
    stage: Mapped[str]
    kind_id: Mapped[int] = mapped_column(ForeignKey("stage_kinds.id"))
    quantity: Mapped[float]
    minutes: Mapped[float]
    person: Mapped[str] = mapped_column(default="")
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    imported_at: Mapped[datetime] = mapped_column(Instant)
    row_key: Mapped[str] = mapped_column(unique=True)
    __table_args__ = (
        CheckConstraint("quantity > 0", name="quantity"),
        CheckConstraint("minutes > 0", name="minutes"),
        Index(None, "kind_id"),
    )


class DeviceRow(Base):
    """A paired tablet, phone or wall screen: what it may do, and the hash of its key."""

    __tablename__ = "devices"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    kind: Mapped[str]
    key_hash: Mapped[str] = mapped_column(unique=True)
    paired_at: Mapped[datetime] = mapped_column(Instant)
    seen_at: Mapped[datetime | None] = mapped_column(Instant)
    paired_address: Mapped[str] = mapped_column(default="")
    revoked_at: Mapped[datetime | None] = mapped_column(Instant)
    __table_args__ = (CheckConstraint("kind IN ('bench', 'office', 'wall')", name="kind"),)


class PairingRow(Base):
    """A token that pairs one device once, within minutes; only its hash is kept."""

    __tablename__ = "pairings"
    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    kind: Mapped[str]
    made_at: Mapped[datetime] = mapped_column(Instant)
    expires_at: Mapped[datetime] = mapped_column(Instant)
    used_at: Mapped[datetime | None] = mapped_column(Instant)
    __table_args__ = (CheckConstraint("kind IN ('bench', 'office', 'wall')", name="kind"),)


class PinRow(Base):
    """A person's PIN for the office pages, salted and hashed, with the wrong tries and how long to wait."""

    __tablename__ = "pins"
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id"), primary_key=True)
    salt: Mapped[str]
    hash: Mapped[str]
    set_at: Mapped[datetime] = mapped_column(Instant)
    failures: Mapped[int] = mapped_column(default=0)
    wait_until: Mapped[datetime | None] = mapped_column(Instant)


class FeedRow(Base):
    """One row: the part of the calendar's address that nobody can guess; a new one ends the old."""

    __tablename__ = "feed"
    id: Mapped[int] = mapped_column(primary_key=True)
    token: Mapped[str]
    made_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)
