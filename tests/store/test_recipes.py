"""Glues and finishes are written with their marks and revised, never overwritten."""

from shoptrack.store.db import Store
from shoptrack.store.recipes import MarkSpec, RecipeSpec, list_recipes, revise_recipe
from tests.store.making import MADE_AT, NOW, SCRAPE, furnish


def test_a_recipe_keeps_its_versions_marks_and_points(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        revise_recipe(
            session, made.glue, from_at=NOW, spec=RecipeSpec(marks=(MarkSpec(SCRAPE),), source="label")
        )
    with store.reading() as session:
        (recipe,) = list_recipes(session)
        first, second = recipe.versions
        assert (first.from_at, second.from_at, second.source) == (MADE_AT, NOW, "label")
        assert [(m.role, m.joint) for m in first.marks] == [
            ("clamps off", None),
            ("clamps off", "wide face"),
            ("scrape", None),
        ]
        assert [(p.c, p.minutes) for p in first.marks[1].points] == [(10.0, 120.0), (20.0, 60.0)]
        assert [m.until_min for m in second.marks] == [60.0]


def test_a_retired_one_is_not_listed(store: Store) -> None:
    with store.writing() as session:
        furnish(session)
        list_recipes(session)[0].retired_at = NOW
        session.flush()
        assert list_recipes(session) == []
