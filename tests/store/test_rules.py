"""Kinds of stage with the rule of thumb that is in force, and all rules there were."""

from datetime import timedelta

from shoptrack.engine.shapes import Rule
from shoptrack.store import shop
from shoptrack.store.rules import NO_RULE, dated_rules, kinds_with_rules
from shoptrack.store.tables import StageKindRow
from tests.joinery import LONG_AGO, NOW, Joinery

DAY = timedelta(days=1)


def test_the_rule_in_force_is_the_newest_that_counts_by_now(joinery: Joinery) -> None:
    """From yesterday milling is 30 + 5; from tomorrow 60 + 1, which doesn't count yet."""
    milling = joinery.kinds["milling"]
    with joinery.store.writing() as session:
        shop.set_rule(session, milling, from_at=NOW + DAY, rule=Rule(60, 1))
        shop.set_rule(session, milling, from_at=NOW - DAY, rule=Rule(30, 5))
    with joinery.store.reading() as session:
        assert kinds_with_rules(session, NOW)[milling].rule == Rule(30, 5)
        assert kinds_with_rules(session, NOW - 2 * DAY)[milling].rule == Rule(15, 10)
        assert [at for at, _ in dated_rules(session)[milling]] == [LONG_AGO, NOW - DAY, NOW + DAY]


def test_rests_have_no_minutes_and_a_kind_without_a_rule_has_none(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        rows = (
            StageKindRow(name="resting", unit="boards", attendance="none"),
            StageKindRow(name="turning", unit="legs"),
        )
        session.add_all(rows)
        session.flush()
        rest, bare = (row.id for row in rows)
    with joinery.store.reading() as session:
        kinds = kinds_with_rules(session, NOW)
        assert dated_rules(session).keys() == set(joinery.kinds.values())
    assert rest not in kinds
    assert kinds[bare].rule == NO_RULE
    assert [kind.name for kind in kinds.values()] == [*joinery.kinds, "turning"]


def test_a_watched_machine_is_known_by_who_must_be_there(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        kinds = kinds_with_rules(session, NOW)
    assert [kind.name for kind in kinds.values() if kind.watched] == ["carving"]
    assert not any(kind.starting or kind.retired for kind in kinds.values())


def test_a_first_rule_holds_before_its_day_too(joinery: Joinery) -> None:
    """Said today for next week, and there is no other: it is all that is known."""
    with joinery.store.writing() as session:
        row = StageKindRow(name="turning", unit="legs")
        session.add(row)
        session.flush()
        kind = row.id
        shop.set_rule(session, kind, from_at=NOW + 7 * DAY, rule=Rule(5, 20))
    with joinery.store.reading() as session:
        assert kinds_with_rules(session, NOW)[kind].rule == Rule(5, 20)
