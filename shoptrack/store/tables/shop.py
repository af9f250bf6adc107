"""Tables of what the shop is: people and hours, rooms, stations, clamps, tools, materials, kinds of stage."""

from datetime import date, datetime, time
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Json, Retirable


class HeadRow(Base):
    """One row: which database this is (renewed by a restore) and how many writes it has seen."""

    __tablename__ = "head"
    id: Mapped[int] = mapped_column(primary_key=True)
    database_id: Mapped[str]
    revision: Mapped[int]
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)


class ShopRow(Base):
    """One row: the shop's name, zone and languages of measure.

    ``first_day`` is the step of the guided start that is next, NULL once it is over; ``holidays_of`` the
    country, and part of it, whose holidays are offered as days off ("AT", "AT-9"); ``weigh_quotes_bp`` the
    chance, in hundredths of a per cent, that a quote which is out is taken, where promises count those
    quotes, NULL where they don't.
    """

    __tablename__ = "shop"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    zone: Mapped[str]
    length_unit: Mapped[str] = mapped_column(default="in")
    temperature_unit: Mapped[str] = mapped_column(default="F")
    currency: Mapped[str] = mapped_column(default="USD")
    clock_24h: Mapped[bool] = mapped_column(default=True)
    is_demo: Mapped[bool] = mapped_column(default=False)
    first_day: Mapped[str | None]
    holidays_of: Mapped[str | None]
    weigh_quotes_bp: Mapped[int | None]
    made_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (
        CheckConstraint("id = 1", name="one_row"),
        CheckConstraint("length_unit IN ('in', 'mm')", name="length_unit"),
        CheckConstraint("temperature_unit IN ('F', 'C')", name="temperature_unit"),
        CheckConstraint("weigh_quotes_bp BETWEEN 0 AND 10000", name="weigh_quotes"),
    )


class PersonRow(Retirable, Base):
    """Somebody who works here."""

    __tablename__ = "people"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    position: Mapped[int] = mapped_column(default=0)


class WeekRow(Base):
    """One working span of one weekday (0 Monday) from a date on, for a person or (NULL) the shop.

    A person's or the shop's week from a date is all rows of that ``from_on``; an ``opens`` of NULL says
    only that the week from this date has no work on that day.
    """

    __tablename__ = "weeks"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    from_on: Mapped[date]
    weekday: Mapped[int]
    opens: Mapped[time | None]
    closes: Mapped[time | None]
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
        CheckConstraint("(opens IS NULL) = (closes IS NULL)", name="both_ends"),
        CheckConstraint("opens < closes", name="in_order"),
        Index(None, "person_id", "from_on"),
    )


class DayOffRow(Base):
    """Days on which a person, or (NULL) nobody, works; both ends included."""

    __tablename__ = "days_off"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    first_on: Mapped[date]
    last_on: Mapped[date]
    reason: Mapped[str] = mapped_column(default="")
    __table_args__ = (CheckConstraint("first_on <= last_on", name="in_order"),)


class RoomRow(Retirable, Base):
    """A room that work stands in."""

    __tablename__ = "rooms"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]


class RoomTempRow(Base):
    """A room's usual warmth in one month, from an instant on."""

    __tablename__ = "room_temps"
    id: Mapped[int] = mapped_column(primary_key=True)
    room_id: Mapped[int] = mapped_column(ForeignKey("rooms.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    month: Mapped[int]
    heated_c: Mapped[float]
    unheated_c: Mapped[float]
    heated_from: Mapped[time]
    heated_until: Mapped[time]
    __table_args__ = (
        UniqueConstraint("room_id", "from_at", "month"),
        CheckConstraint("month BETWEEN 1 AND 12", name="month"),
    )


class StationRow(Retirable, Base):
    """A machine that one stage holds at a time, or a place with room for several, with its limits.

    ``through_cure``: work stays there until it may be worked on again.
    """

    __tablename__ = "stations"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    room_id: Mapped[int | None] = mapped_column(ForeignKey("rooms.id"))
    greatest_width_mm: Mapped[float | None]
    least_length_mm: Mapped[float | None]
    bed_length_mm: Mapped[float | None]
    bed_width_mm: Mapped[float | None]
    makes_dust: Mapped[bool] = mapped_column(default=False)
    places: Mapped[int] = mapped_column(default=1)
    through_cure: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (CheckConstraint("places >= 1", name="places"),)


class PoolRow(Retirable, Base):
    """Clamps of one reach."""

    __tablename__ = "pools"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    reach_mm: Mapped[int]


class PoolCountRow(Base):
    """How many clamps of a pool are owned, from an instant on."""

    __tablename__ = "pool_counts"
    id: Mapped[int] = mapped_column(primary_key=True)
    pool_id: Mapped[int] = mapped_column(ForeignKey("pools.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    owned: Mapped[int]
    __table_args__ = (
        UniqueConstraint("pool_id", "from_at"),
        CheckConstraint("owned >= 0", name="owned"),
    )


class ToolRow(Retirable, Base):
    """A tool with a cutting edge; ``usual_life_h`` (effective hours) where it is not that of its kind."""

    __tablename__ = "tools"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    kind_id: Mapped[int] = mapped_column(ForeignKey("edge_kinds.id"))
    station_id: Mapped[int | None] = mapped_column(ForeignKey("stations.id"))
    flute_mm: Mapped[float | None]
    usual_life_h: Mapped[float | None]
    __table_args__ = (
        CheckConstraint("flute_mm > 0", name="flute"),
        CheckConstraint("usual_life_h > 0", name="usual_life"),
    )


class MaterialRow(Retirable, Base):
    """A wood or other material that is cut, and the unit it is bought by."""

    __tablename__ = "materials"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    unit: Mapped[str | None]


class MaterialWearRow(Base):
    """How hard a material is on an edge (1 = the shop's usual wood), from an instant on."""

    __tablename__ = "material_wear"
    id: Mapped[int] = mapped_column(primary_key=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("materials.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    factor: Mapped[float]
    starting: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (
        UniqueConstraint("material_id", "from_at"),
        CheckConstraint("factor > 0", name="factor"),
    )


class StageKindRow(Retirable, Base):
    """A kind of stage with the values a new stage of it starts from."""

    __tablename__ = "stage_kinds"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    unit: Mapped[str]
    attendance: Mapped[str] = mapped_column(default="hands-on")
    interruption: Mapped[str] = mapped_column(default="any")
    dusty: Mapped[bool] = mapped_column(default=False)
    caution: Mapped[str] = mapped_column(default="")
    position: Mapped[int] = mapped_column(default=0)
    __table_args__ = (
        CheckConstraint("attendance IN ('hands-on', 'within earshot', 'none')", name="attendance"),
        CheckConstraint("interruption IN ('any', 'lunch', 'none')", name="interruption"),
    )


class RuleRow(Base):
    """A rule of thumb of a kind of stage, from an instant on."""

    __tablename__ = "rules_of_thumb"
    id: Mapped[int] = mapped_column(primary_key=True)
    kind_id: Mapped[int] = mapped_column(ForeignKey("stage_kinds.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    setup_min: Mapped[float]
    rate_min: Mapped[float]
    starting: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (
        UniqueConstraint("kind_id", "from_at"),
        CheckConstraint("setup_min >= 0 AND rate_min >= 0", name="not_negative"),
    )


class EditRow(Base):
    """One field of one row, as it was and as it became: who and when."""

    __tablename__ = "edits"
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    table_name: Mapped[str]
    row_id: Mapped[int]
    field: Mapped[str]
    before: Mapped[Any] = mapped_column(Json, nullable=True)
    after: Mapped[Any] = mapped_column(Json, nullable=True)
    why: Mapped[str | None]
    __table_args__ = (Index(None, "table_name", "row_id"),)
