import pytest

from shoptrack.engine.shapes import Rule
from shoptrack.flows.learning import learned
from shoptrack.flows.times import KindLine, Overview, overview, plainly
from shoptrack.store.tables import RuleRow, StageKindRow
from tests.joinery import NOW, Joinery
from tests.times import bring_in, mill


def told(joinery: Joinery) -> Overview:
    known = learned(joinery.store, NOW)
    with joinery.store.reading() as session:
        return overview(session, known)


def kind(joinery: Joinery, name: str) -> KindLine:
    return next(one for one in told(joinery).kinds if one.kind.name == name)


def test_nothing_logged_has_its_rule_alone(joinery: Joinery) -> None:
    found = told(joinery)
    assert [one.kind.name for one in found.kinds] == ["milling", "glue-up", "carving", "inlay", "finishing"]
    assert {(one.logs, one.range, one.learned, one.usual, one.odd) for one in found.kinds} == {
        (0, None, None, None, 0)
    }
    assert found.kinds[0].rule == Rule(15, 10)
    assert found.retired == ()


def test_one_log(joinery: Joinery) -> None:
    """Four boards in 70 min where the rule of thumb has 55: learned lies between, and the range about it."""
    mill(joinery, "a tray", 70, -3)
    milling = kind(joinery, "milling")
    assert (milling.logs, milling.imported, milling.usual, milling.rule_min) == (1, 0, 4, 55)
    assert milling.learned is not None
    assert milling.range is not None
    assert 55 < milling.learned.minutes(4) < 70
    assert milling.range.p10 < 55 < milling.range.p50 < 70 < milling.range.p90


def test_times_from_before_the_log_count_and_are_told_apart(joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [100.0] * 12)
    mill(joinery, "a tray", 70, -3)
    assert (kind(joinery, "glue-up").logs, kind(joinery, "glue-up").imported) == (12, 12)
    assert kind(joinery, "milling").imported == 0


def test_a_wild_time_is_set_aside_with_its_names_and_what_is_usual(joinery: Joinery) -> None:
    """Twelve of about an hour and one of eleven: that one, whose it was, and what 8 in 10 take."""
    bring_in(joinery, "glue-up", [58, 60, 63, 61, 59, 62, 60, 58, 61, 60, 62, 59, 660], person="Wim")
    (odd,) = told(joinery).odd
    assert kind(joinery, "glue-up").odd == 1
    assert (odd.minutes, odd.machine) == (660, False)
    assert (odd.names.title, odd.names.who, odd.names.tag) == ("old glue-up 12", "Wim", "")
    assert 40 < odd.usual.p10 < 60 < odd.usual.p90 < 90


def test_a_retired_kind_is_told_apart_where_it_has_times(joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [60.0])
    with joinery.store.writing() as session:
        for name in ("glue-up", "inlay"):
            row = session.get(StageKindRow, joinery.kinds[name])
            assert row is not None
            row.retired_at = NOW
    found = told(joinery)
    assert [one.kind.name for one in found.kinds] == ["milling", "carving", "finishing"]
    assert [one.kind.name for one in found.retired] == ["glue-up"]


def test_a_kind_without_a_rule_of_thumb(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.query(RuleRow).delete()
    assert kind(joinery, "milling").rule is None
    bring_in(joinery, "milling", [60.0] * 8)
    milling = kind(joinery, "milling")
    assert milling.rule_min is None
    assert milling.range is not None


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (Rule(20.81, 6.226), Rule(21, 6.2)),
        (Rule(9.4, 49.77), Rule(9, 50)),
        (Rule(0.2, 1.1789), Rule(0, 1.18)),
        (Rule(0, 0.04567), Rule(0, 0.0457)),
        (Rule(33.3, 0.0), Rule(33, 0)),
    ],
)
def test_a_rule_is_said_plainly(rule: Rule, said: Rule) -> None:
    assert plainly(rule) == said
