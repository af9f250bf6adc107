"""Lines of glues and finishes become recipes with the marks of one kind of joint."""

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from shoptrack.engine.shapes import Dated, Mark, Recipe


class Narrower:
    """The shop's recipes by date, narrowed to a joint when asked; each is made once."""

    def __init__(self, lines: Sequence[Any]) -> None:
        self._versions: dict[int, list[list[Any]]] = {}
        for (recipe, _), rows in groupby(lines, key=lambda line: (line.recipe, line.version_id)):
            self._versions.setdefault(recipe, []).append(list(rows))
        self._made: dict[tuple[int, str | None], Dated[Recipe]] = {}

    def for_joint(self, recipe: int, joint: str | None) -> Dated[Recipe]:
        """A recipe by date: of each role the marks of this joint, where it has any, else the common ones."""
        if (recipe, joint) not in self._made:
            versions = self._versions.get(recipe, [])
            self._made[recipe, joint] = tuple((v[0].version_from_at, _recipe(v, joint)) for v in versions)
        return self._made[recipe, joint]


def _recipe(lines: list[Any], joint: str | None) -> Recipe:
    first = lines[0]
    return Recipe(
        id=first.recipe,
        name=first.recipe_name,
        kind=first.kind,
        marks=_marks([line for line in lines if line.mark_id is not None], joint),
        reference_c=first.version_reference_c,
        q10=first.version_q10,
        lowest_c=first.version_lowest_c,
        below=first.version_below,
        open_min=first.version_open_min,
        caution=first.version_caution,
    )


def _marks(lines: list[Any], joint: str | None) -> tuple[Mark, ...]:
    own = {line.mark_role for line in lines if joint is not None and line.mark_joint == joint}
    fits = [x for x in lines if x.mark_joint == (joint if x.mark_role in own else None)]
    return tuple(_mark(list(rows)) for _, rows in groupby(fits, key=lambda line: line.mark_id))


def _mark(lines: list[Any]) -> Mark:
    first = lines[0]
    return Mark(
        role=first.mark_role,
        name=first.mark_name,
        from_min=first.mark_from_min,
        until_min=first.mark_until_min,
        needs_hands=first.mark_needs_hands,
        gates=first.mark_gates,
        q10=first.mark_q10,
        points=tuple((line.c, line.minutes) for line in lines if line.c is not None),
        caution=first.mark_caution,
    )
