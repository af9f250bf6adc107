"""What the stages of a pattern may name, with what the shop has of it."""

from datetime import timedelta

from shoptrack.engine.feasible import Bounds, Owned
from shoptrack.engine.shapes import Rule
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.pattern_things import things
from shoptrack.store.shop import set_owned, set_rule
from shoptrack.store.tables import PoolRow, ToolRow
from tests.store.making import NOW, furnish


def test_what_there_is(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        found = things(session, NOW)
    assert found.kinds[made.kind].unit == "joints"
    assert (found.stations[made.planer].name, found.recipes[made.glue].is_a) == ("planer", "glue")
    assert found.limits.people == 2
    assert found.limits.stations[made.planer] == Bounds("planer", greatest_width_mm=400)
    assert found.limits.pools == {made.pool: Owned("80 cm", 800, 12)}


def test_what_counts_is_what_is_in_force(store: Store) -> None:
    """Clamps bought and a rule changed later count from then; the first of each counted before it too."""
    with store.writing() as session:
        made = furnish(session)
        later = NOW + timedelta(days=1)
        set_owned(session, made.pool, from_at=later, owned=20)
        set_rule(session, made.kind, from_at=later, rule=Rule(1, 1))
        before, after = (things(session, at) for at in (NOW, later))
    assert (before.limits.pools[made.pool].owned, after.limits.pools[made.pool].owned) == (12, 20)
    assert (before.kinds[made.kind].rule, after.kinds[made.kind].rule) == (Rule(10, 5), Rule(1, 1))


def test_work_may_go_on_by_the_joint(store: Store) -> None:
    """The glue's gating mark is 30 min, in a wide face an hour."""
    with store.writing() as session:
        made = furnish(session)
        gates = things(session, NOW).limits.gate_min
    assert (gates[made.glue, None], gates[made.glue, "plain edge"], gates[made.glue, "wide face"]) == (
        30,
        30,
        60,
    )


def test_what_is_retired_is_named_and_lends_no_clamps(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        for row in (session.get_one(PoolRow, made.pool), session.get_one(ToolRow, made.bit)):
            edit(session, row, None, NOW, retired_at=NOW)
        found = things(session, NOW)
    assert found.pools[made.pool].retired
    assert found.tools[made.bit].retired
    assert found.limits.pools == {}


def test_an_empty_shop_has_nothing(store: Store) -> None:
    with store.reading() as session:
        found = things(session, NOW)
    assert (found.kinds, found.tools, found.limits.people) == ({}, {}, 0)


def test_clamps_stand_by_their_reach(store: Store) -> None:
    """By name 1200 mm would stand before 80 cm, and 30 cm between."""
    with store.writing() as session:
        made = furnish(session)
        session.add_all(
            [PoolRow(id=91, name="1200 mm", reach_mm=1200), PoolRow(id=92, name="9 cm", reach_mm=90)]
        )
        session.flush()
        assert list(things(session, NOW).pools) == [92, made.pool, 91]
