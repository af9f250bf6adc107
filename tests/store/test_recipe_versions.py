"""Versions of a glue: by date, the same again, checked against the data sheet, replaced."""

from dataclasses import replace
from datetime import timedelta

from shoptrack.engine.shapes import Mark
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.recipe_versions import say_recipe, spec_of, versions_of
from shoptrack.store.recipes import MarkSpec, RecipeSpec, make_recipe
from tests.store.conftest import NOW

LATER = NOW + timedelta(days=3)
OFF = MarkSpec(Mark("clamps off", "clamps off", from_min=60))
WORK = MarkSpec(
    Mark("work", "can be worked", 720, gates=True, q10=2.5, points=((10.0, 1440.0), (20.0, 720.0))),
    "wide face",
)
SPEC = RecipeSpec(marks=(OFF, WORK), lowest_c=10.0, open_min=10.0, source="data sheet")
SLOWER = replace(SPEC, marks=(replace(OFF, mark=replace(OFF.mark, from_min=90.0)), WORK))


def make_glue(store: Store, *, starting: bool = False) -> int:
    with store.writing() as session:
        return make_recipe(session, "white glue", kind="glue", from_at=NOW, spec=SPEC, starting=starting).id


def test_what_was_written_down_comes_back(store: Store) -> None:
    glue = make_glue(store)
    with store.reading() as session:
        assert spec_of(versions_of(session, glue)[0]) == SPEC


def test_another_version_counts_from_its_day(store: Store) -> None:
    glue = make_glue(store)
    with store.writing() as session:
        assert say_recipe(session, glue, SLOWER, LATER, None, NOW)
        assert not say_recipe(session, glue, SLOWER, LATER, None, NOW), "said twice, it is there once"
        found = versions_of(session, glue)
        assert [(v.from_at, spec_of(v)) for v in found] == [(NOW, SPEC), (LATER, SLOWER)]
        (line,) = history(session, "recipe_versions", found[1].id)
    assert line.field == "version"
    assert line.before != line.after


def test_a_starting_value_becomes_the_shops_own_when_it_is_changed_or_checked(store: Store) -> None:
    glue = make_glue(store, starting=True)
    with store.writing() as session:
        assert not say_recipe(session, glue, SPEC, LATER, None, NOW)
        assert [v.starting for v in versions_of(session, glue)] == [True]
        assert say_recipe(session, glue, SPEC, LATER, None, NOW, checked=True)
        assert [v.starting for v in versions_of(session, glue)] == [True, False]
        assert not say_recipe(session, glue, SPEC, LATER, None, NOW, checked=True)


def test_for_the_very_instant_it_takes_the_place(store: Store) -> None:
    glue = make_glue(store)
    with store.writing() as session:
        assert say_recipe(session, glue, SLOWER, NOW, None, NOW)
        (only,) = versions_of(session, glue)
        assert spec_of(only) == SLOWER
        assert len(history(session, "recipe_versions", only.id)) == 1
