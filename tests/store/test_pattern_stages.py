"""A revision is read as the stages it was written down as, and written again it is the same."""

from dataclasses import replace

from shoptrack.engine.shapes import ClampNeed
from shoptrack.store.db import Store
from shoptrack.store.pattern_stages import settled, stages_of
from shoptrack.store.patterns import PatternNeed, PatternStage, revise_pattern
from tests.store.making import NOW, furnish


def test_what_was_written_down_is_read(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        mill, glue, sand = stages_of(session, made.revision)
    assert (mill.name, mill.fixed, mill.per_piece, mill.tools) == ("mill", 1, 2, ((made.bit, 0.5),))
    assert glue.needs == (PatternNeed(1, by_rounds=True),)
    assert glue.clamps == (ClampNeed(made.pool, 4, per_piece=True),)
    assert (glue.recipe, glue.joint, glue.rounds, glue.hands_at_min) == (
        made.glue,
        "wide face",
        True,
        (5, 10),
    )
    assert (sand.needs, sand.caution) == ((PatternNeed(2, least_wait_min=60),), "wear a mask")


def test_written_again_it_is_the_same(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        before = stages_of(session, made.revision)
        wider = [*before[:2], replace(before[2], width_mm=111.1, length_mm=2000.0)]
        again = revise_pattern(session, 1, stages=wider, now=NOW)
        assert stages_of(session, again.id) == tuple(wider)


def test_what_the_kind_says_is_written_out(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        plain = settled(session, PatternStage(made.kind, "a"))
        assert (plain.attendance, plain.interruption, plain.dusty) == ("hands-on", "any", False)
        own = PatternStage(made.kind, "a", attendance="none", dusty=True)
        assert settled(session, own) == replace(own, interruption="any")
        assert settled(session, PatternStage(99, "a")) == PatternStage(99, "a")
        assert stages_of(session, 99) == ()
