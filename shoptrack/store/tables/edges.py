"""Tables of edges: their kinds, each edge of a tool, the stretches tools were at work; machine programs."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Json, Retirable


class EdgeKindRow(Retirable, Base):
    """What edges of a kind are like: usual life in effective hours, and how they are made sharp again.

    ``dull_cents`` is what a dull edge costs when a spoiled piece tells of it. ``starting``: nobody in the
    shop has said so yet.
    """

    __tablename__ = "edge_kinds"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    renewed: Mapped[str] = mapped_column(default="sent")
    usual_life_h: Mapped[float]
    away_days: Mapped[int] = mapped_column(default=0)
    renew_cents: Mapped[int] = mapped_column(default=0)
    dull_cents: Mapped[int] = mapped_column(default=0)
    most_renewals: Mapped[int | None]
    starting: Mapped[bool] = mapped_column(default=False)
    __table_args__ = (
        CheckConstraint("renewed IN ('sent', 'here', 'turned', 'replaced')", name="renewed"),
        CheckConstraint("usual_life_h > 0", name="usual_life"),
        CheckConstraint("away_days >= 0", name="away_days"),
        CheckConstraint("most_renewals >= 0", name="most_renewals"),
    )


class EdgeRow(Retirable, Base):
    """One edge of a tool. What happens to it is in the log of work."""

    __tablename__ = "edges"
    id: Mapped[int] = mapped_column(primary_key=True)
    tool_id: Mapped[int] = mapped_column(ForeignKey("tools.id"))
    name: Mapped[str]
    added_at: Mapped[datetime] = mapped_column(Instant)
    __table_args__ = (UniqueConstraint("tool_id", "name"),)


class WorkedRow(Base):
    """A stretch in which a pass of a stage that uses tools was at work; rewritten with the tally.

    ``minutes`` are those that count of it: the machine's where one was watched, else of hands, two people at
    it together counted once.
    """

    __tablename__ = "worked"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    redo: Mapped[int] = mapped_column(primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    start_at: Mapped[datetime] = mapped_column(Instant)
    end_at: Mapped[datetime] = mapped_column(Instant)
    minutes: Mapped[float]
    __table_args__ = (CheckConstraint("minutes >= 0", name="minutes"), Index(None, "end_at"))


class RouterRow(Base):
    """How a station reads its machine programs, and how fast it is between cuts."""

    __tablename__ = "routers"
    station_id: Mapped[int] = mapped_column(ForeignKey("stations.id"), primary_key=True)
    dwell_unit: Mapped[str] = mapped_column(default="seconds")
    starts_in: Mapped[str] = mapped_column(default="mm")
    knows_70_71: Mapped[bool] = mapped_column(default=False)
    rapid_mm_min: Mapped[float]
    tool_change_s: Mapped[float]
    __table_args__ = (
        CheckConstraint("dwell_unit IN ('seconds', 'milliseconds')", name="dwell_unit"),
        CheckConstraint("starts_in IN ('mm', 'inch')", name="starts_in"),
        CheckConstraint("rapid_mm_min > 0 AND tool_change_s >= 0", name="rates"),
    )


class RouterToolRow(Base):
    """Which of the shop's tools a number in the programs of a router means, as a person said once."""

    __tablename__ = "router_tools"
    station_id: Mapped[int] = mapped_column(ForeignKey("stations.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    label: Mapped[str] = mapped_column(primary_key=True, default="")
    tool_id: Mapped[int] = mapped_column(ForeignKey("tools.id"))


class ProgramRow(Base):
    """A machine program as it was read for a stage; the file itself stays with the machine.

    ``found`` is what the reader found beside the columns, ``path`` the thinned path for its drawing.
    """

    __tablename__ = "programs"
    id: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"))
    station_id: Mapped[int | None] = mapped_column(ForeignKey("stations.id"))
    name: Mapped[str]
    fingerprint: Mapped[str]
    size: Mapped[int]
    added_at: Mapped[datetime] = mapped_column(Instant)
    added_by: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    removed_at: Mapped[datetime | None] = mapped_column(Instant)
    reader: Mapped[str]
    total_min: Mapped[float]
    cutting_min: Mapped[float]
    found: Mapped[Any] = mapped_column(Json)
    path: Mapped[Any] = mapped_column(Json)
    __table_args__ = (
        CheckConstraint("size >= 0 AND total_min >= 0 AND cutting_min >= 0", name="not_negative"),
        Index(None, "stage_id"),
    )


class ProgramToolRow(Base):
    """What a program does with one of its tools, and which of the shop's that is, once somebody said."""

    __tablename__ = "program_tools"
    program_id: Mapped[int] = mapped_column(ForeignKey("programs.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    label: Mapped[str] = mapped_column(default="")
    tool_id: Mapped[int | None] = mapped_column(ForeignKey("tools.id"))
    cutting_min: Mapped[float]
    cutting_mm: Mapped[float]
    deepest_mm: Mapped[float | None]
