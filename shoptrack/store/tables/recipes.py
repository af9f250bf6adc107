"""Tables of glues and finishes with their marks, by the instant each version counts from."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shoptrack.store.base import Base, Instant, Retirable


class RecipeRow(Retirable, Base):
    """A glue or a finish."""

    __tablename__ = "recipes"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    kind: Mapped[str]
    versions: Mapped[list["RecipeVersionRow"]] = relationship(order_by="RecipeVersionRow.from_at")
    __table_args__ = (CheckConstraint("kind IN ('glue', 'finish')", name="kind"),)


class RecipeVersionRow(Base):
    """What a glue or finish does, from an instant on. ``starting``: not yet held against a data sheet."""

    __tablename__ = "recipe_versions"
    id: Mapped[int] = mapped_column(primary_key=True)
    recipe_id: Mapped[int] = mapped_column(ForeignKey("recipes.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    reference_c: Mapped[float] = mapped_column(default=20.0)
    q10: Mapped[float] = mapped_column(default=2.0)
    lowest_c: Mapped[float | None]
    below: Mapped[str] = mapped_column(default="slows")
    open_min: Mapped[float | None]
    caution: Mapped[str] = mapped_column(default="")
    source: Mapped[str] = mapped_column(default="")
    starting: Mapped[bool] = mapped_column(default=False)
    marks: Mapped[list["MarkRow"]] = relationship(order_by="MarkRow.id")
    __table_args__ = (
        UniqueConstraint("recipe_id", "from_at"),
        CheckConstraint("below IN ('slows', 'spoils')", name="below"),
        CheckConstraint("q10 >= 1", name="q10"),
    )


class MarkRow(Base):
    """A named moment after closing; ``joint`` NULL serves every kind of joint that has no row of its own."""

    __tablename__ = "marks"
    id: Mapped[int] = mapped_column(primary_key=True)
    version_id: Mapped[int] = mapped_column(ForeignKey("recipe_versions.id"))
    role: Mapped[str]
    name: Mapped[str]
    joint: Mapped[str | None]
    from_min: Mapped[float | None]
    until_min: Mapped[float | None]
    needs_hands: Mapped[bool] = mapped_column(default=False)
    gates: Mapped[bool] = mapped_column(default=False)
    q10: Mapped[float | None]
    caution: Mapped[str] = mapped_column(default="")
    points: Mapped[list["MarkPointRow"]] = relationship(order_by="MarkPointRow.c")
    __table_args__ = (
        CheckConstraint("from_min IS NOT NULL OR until_min IS NOT NULL", name="an_end"),
        CheckConstraint("joint IN ('plain edge', 'wide face', 'bent or sprung')", name="joint"),
    )


class MarkPointRow(Base):
    """One row of a mark's own table of temperature and minutes."""

    __tablename__ = "mark_points"
    id: Mapped[int] = mapped_column(primary_key=True)
    mark_id: Mapped[int] = mapped_column(ForeignKey("marks.id"))
    c: Mapped[float]
    minutes: Mapped[float]
    __table_args__ = (
        UniqueConstraint("mark_id", "c"),
        CheckConstraint("minutes > 0", name="minutes"),
    )
