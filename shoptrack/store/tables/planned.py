"""The columns that a stage of a pattern and a stage of a job share."""

from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, declared_attr, mapped_column

from shoptrack.store.base import Json

PLANNED = (
    "position",
    "kind_id",
    "name",
    "rounds",
    "attendance",
    "interruption",
    "people",
    "dusty",
    "station_id",
    "room_id",
    "recipe_id",
    "joint",
    "material_id",
    "hands_at_min",
    "line",
    "width_mm",
    "length_mm",
    "settings",
    "caution",
)
"""The names of the columns below, copied when a job is made from a pattern."""


class Planned:
    """What a stage is and what it demands, apart from how much of it there is.

    ``line`` is the same in every revision of a pattern and in the jobs made from it: by it a stage finds
    what was said of it last time. ``width_mm`` and ``length_mm`` are of the work as a station takes it.
    """

    position: Mapped[int]
    name: Mapped[str]
    rounds: Mapped[bool] = mapped_column(default=False)
    attendance: Mapped[str] = mapped_column(default="hands-on")
    interruption: Mapped[str] = mapped_column(default="any")
    people: Mapped[int] = mapped_column(default=1)
    dusty: Mapped[bool] = mapped_column(default=False)
    joint: Mapped[str | None]
    hands_at_min: Mapped[Any] = mapped_column(Json, nullable=True)
    line: Mapped[int | None]
    width_mm: Mapped[float | None]
    length_mm: Mapped[float | None]
    settings: Mapped[str] = mapped_column(default="")
    caution: Mapped[str] = mapped_column(default="")

    @declared_attr
    def kind_id(cls) -> Mapped[int]:
        """The kind of stage."""
        return mapped_column(ForeignKey("stage_kinds.id"))

    @declared_attr
    def station_id(cls) -> Mapped[int | None]:
        """The station it holds."""
        return mapped_column(ForeignKey("stations.id"))

    @declared_attr
    def room_id(cls) -> Mapped[int | None]:
        """The room it cures in."""
        return mapped_column(ForeignKey("rooms.id"))

    @declared_attr
    def recipe_id(cls) -> Mapped[int | None]:
        """The glue or finish."""
        return mapped_column(ForeignKey("recipes.id"))

    @declared_attr
    def material_id(cls) -> Mapped[int | None]:
        """The material that is cut."""
        return mapped_column(ForeignKey("materials.id"))
