"""What a glue or finish does from an instant on → a version of it, with its line of history."""

from dataclasses import replace
from datetime import datetime
from typing import cast

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Below, Joint, Mark, Role
from shoptrack.store.edits import note_change
from shoptrack.store.recipes import MarkSpec, RecipeSpec, revise_recipe
from shoptrack.store.tables import MarkPointRow, MarkRow, RecipeVersionRow


def versions_of(session: Session, recipe: int) -> list[RecipeVersionRow]:
    """All versions of a glue or finish, oldest first."""
    own = select(RecipeVersionRow).where(RecipeVersionRow.recipe_id == recipe)
    return list(session.scalars(own.order_by(RecipeVersionRow.from_at)))


def say_recipe(
    session: Session,
    recipe: int,
    spec: RecipeSpec,
    from_at: datetime,
    who: int | None,
    now: datetime,
    *,
    checked: bool = False,
) -> bool:
    """Say what a glue or finish does from an instant on; gives whether anything changed.

    ``checked``: it was held against the data sheet, so that a starting value that is right as it stands
    becomes the shop's own. Said for the very instant of an earlier version it takes that one's place.
    """
    before = [v for v in versions_of(session, recipe) if v.from_at <= from_at]
    held = before[-1] if before else None
    if held is not None and spec_of(held) == spec and not (held.starting and checked):
        return False
    was = None if held is None else spec_words(spec_of(held))
    if held is not None and held.from_at == from_at:
        _remove(session, held)
    version = revise_recipe(session, recipe, from_at=from_at, spec=spec)
    note_change(session, version, who, now, "version", was, spec_words(spec))
    return True


def spec_of(version: RecipeVersionRow) -> RecipeSpec:
    """A version as it was written down."""
    return RecipeSpec(
        marks=tuple(_mark(row) for row in version.marks),
        reference_c=version.reference_c,
        q10=version.q10,
        lowest_c=version.lowest_c,
        below=cast(Below, version.below),
        open_min=version.open_min,
        caution=version.caution,
        source=version.source,
    )


def spec_words(spec: RecipeSpec) -> list[object]:
    """What a version says, as the line of history keeps it: the whole first, then each mark."""
    whole = replace(spec, marks=())
    marks = [
        [m.mark.role, m.joint or "", m.mark.from_min, m.mark.until_min, m.mark.q10, list(m.mark.points)]
        for m in spec.marks
    ]
    return [[whole.reference_c, whole.q10, whole.lowest_c, whole.below, whole.open_min], *marks]


def _mark(row: MarkRow) -> MarkSpec:
    mark = Mark(
        role=cast(Role, row.role),
        name=row.name,
        from_min=row.from_min,
        until_min=row.until_min,
        needs_hands=row.needs_hands,
        gates=row.gates,
        q10=row.q10,
        points=tuple((point.c, point.minutes) for point in row.points),
        caution=row.caution,
    )
    return MarkSpec(mark, cast("Joint | None", row.joint))


def _remove(session: Session, version: RecipeVersionRow) -> None:
    """Take a version away that another, of the same instant, stands for; the history keeps what it said."""
    marks = select(MarkRow.id).where(MarkRow.version_id == version.id)
    session.execute(delete(MarkPointRow).where(MarkPointRow.mark_id.in_(marks)))
    session.execute(delete(MarkRow).where(MarkRow.version_id == version.id))
    session.execute(delete(RecipeVersionRow).where(RecipeVersionRow.id == version.id))
    session.expire_all()
