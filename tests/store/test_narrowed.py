"""A recipe narrowed to a joint: its own marks where a role has any, else the common ones."""

from datetime import timedelta

import pytest

from shoptrack.store.db import Store
from shoptrack.store.gathered import recipe_lines
from shoptrack.store.narrowed import Narrower
from shoptrack.store.recipes import MarkSpec, RecipeSpec, revise_recipe
from tests.store.making import CLAMPS_OFF, CLAMPS_OFF_WIDE, MADE_AT, NOW, SCRAPE, furnish


@pytest.mark.parametrize(
    ("joint", "marks"),
    [
        (None, (CLAMPS_OFF, SCRAPE)),
        ("plain edge", (CLAMPS_OFF, SCRAPE)),
        ("wide face", (CLAMPS_OFF_WIDE, SCRAPE)),
    ],
)
def test_each_joint_has_its_marks(store: Store, joint: str | None, marks: tuple[object, ...]) -> None:
    with store.writing() as session:
        made = furnish(session)
        narrower = Narrower(session.execute(recipe_lines()).all())
    ((from_at, recipe),) = narrower.for_joint(made.glue, joint)
    assert (from_at, recipe.marks) == (MADE_AT, marks)


def test_a_later_version_counts_beside_the_earlier(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        spec = RecipeSpec(marks=(MarkSpec(SCRAPE),), q10=3)
        revise_recipe(session, made.glue, from_at=NOW + timedelta(days=1), spec=spec)
        narrower = Narrower(session.execute(recipe_lines()).all())
    old, new = narrower.for_joint(made.glue, "plain edge")
    assert (old[1].q10, new[1].q10) == (2.0, 3.0)
    assert new[1].marks == (SCRAPE,)
    assert narrower.for_joint(99, None) == ()
