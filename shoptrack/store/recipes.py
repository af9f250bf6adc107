"""Glues and finishes with their marks, each version counting from an instant on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Below, Joint, Mark
from shoptrack.store.tables import MarkPointRow, MarkRow, RecipeRow, RecipeVersionRow


@dataclass(frozen=True)
class MarkSpec:
    """A mark as it is written down; ``joint`` None serves every joint that has no mark of this role."""

    mark: Mark
    joint: Joint | None = None


@dataclass(frozen=True)
class RecipeSpec:
    """What a glue or finish does: its marks at the reference temperature and how warmth changes them."""

    marks: Sequence[MarkSpec]
    reference_c: float = 20.0
    q10: float = 2.0
    lowest_c: float | None = None
    below: Below = "slows"
    open_min: float | None = None
    caution: str = ""
    source: str = ""


def make_recipe(
    session: Session,
    name: str,
    *,
    kind: Literal["glue", "finish"],
    from_at: datetime,
    spec: RecipeSpec,
    starting: bool = False,
) -> RecipeRow:
    """Add a glue or a finish; ``starting``: what it does has not been held against a data sheet yet."""
    row = RecipeRow(name=name, kind=kind)
    session.add(row)
    session.flush()
    revise_recipe(session, row.id, from_at=from_at, spec=spec, starting=starting)
    return row


def revise_recipe(
    session: Session, recipe: int, *, from_at: datetime, spec: RecipeSpec, starting: bool = False
) -> RecipeVersionRow:
    """Say what a glue or finish does from an instant on; what was said before stays for the time before."""
    version = RecipeVersionRow(
        recipe_id=recipe,
        from_at=from_at,
        reference_c=spec.reference_c,
        q10=spec.q10,
        lowest_c=spec.lowest_c,
        below=spec.below,
        open_min=spec.open_min,
        caution=spec.caution,
        source=spec.source,
        starting=starting,
    )
    version.marks = [_mark_row(mark) for mark in spec.marks]
    session.add(version)
    session.flush()
    return version


def _mark_row(spec: MarkSpec) -> MarkRow:
    mark = spec.mark
    row = MarkRow(
        role=mark.role,
        name=mark.name,
        joint=spec.joint,
        from_min=mark.from_min,
        until_min=mark.until_min,
        needs_hands=mark.needs_hands,
        gates=mark.gates,
        q10=mark.q10,
        caution=mark.caution,
    )
    row.points = [MarkPointRow(c=c, minutes=minutes) for c, minutes in mark.points]
    return row


def list_recipes(session: Session) -> list[RecipeRow]:
    """The glues and finishes in use, by name."""
    chosen = select(RecipeRow).where(RecipeRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(RecipeRow.name)))
