"""The minutes still in a pass: by rule of thumb, as learned, of one in hand, round by round."""

from dataclasses import replace
from math import exp, log

import pytest

from shoptrack.engine import durations
from shoptrack.engine.durations import chance_under
from shoptrack.engine.shapes import Pass, Rule
from shoptrack.engine.shapes.learned import Log, Prediction
from shoptrack.engine.totals import Part
from shoptrack.flows.learning import Learned, fit_all
from shoptrack.flows.planning.left import Foretold, middle_min, rounds_left, spent_since_round
from shoptrack.store.rules import Kind
from tests.engine.shop import ANN, OIL, Pencil, at, shop, stage
from tests.flows.planning.laying import seen

NOW = at("9:00")
TOLD = Prediction(40.0, log(60.0), 0.3)


def fresh(quantity: float = 6) -> Pass:
    return seen(shop(stage(1, quantity=quantity)), Pencil(), "9:00").replayed.passes[1][0]


def test_without_anything_learned_the_rule_of_thumb_is_the_middle() -> None:
    foretold = Foretold(None, {1: None}, NOW)
    told = foretold.hands(stage(1, rule=(15, 7)), 6)
    assert exp(told.loc) == pytest.approx(57)
    assert chance_under(told, 57) == pytest.approx(0.5)
    assert foretold.machine(stage(1, rule=(5, 1)), 85).loc == pytest.approx(log(90))
    assert foretold.setup_min(stage(1, rule=(5, 1)), 85) == 5


def test_a_stage_without_any_rule_takes_a_minute() -> None:
    bare = stage(1)
    assert Foretold(None, {1: None}, NOW).hands(bare, 0.0).loc == 0.0


def test_enough_logs_say_what_it_takes() -> None:
    """Five times 90 minutes for what the rule gives 60: nearer to 90; two of them are not enough."""
    for count, low, high in ((5, 75, 92), (2, 60, 60)):
        foretold = Foretold(learned_of(count), {1: None}, NOW)
        told = foretold.hands(stage(1, kind_id=7), 6)
        assert low <= round(exp(told.loc)) <= high
        assert told.loc == pytest.approx(round(told.loc, 2)) or count == 2


def learned_of(count: int) -> Learned:
    """A kind with a rule of ten minutes a piece of which six pieces took 90 minutes, so many times."""
    kind = Kind(7, "milling", "pieces", "within earshot", Rule(0, 10), False, False)
    bare = fit_all({7: kind}, [])
    logs = [Log(f"s{n}", 90.0, 6.0) for n in range(count)]
    own = replace(bare.kinds[7], hands=durations.fit(logs, kind.rule), machine=durations.fit(logs, kind.rule))
    return replace(bare, kinds={7: own})


def test_a_machine_s_minutes_are_its_own() -> None:
    foretold = Foretold(learned_of(5), {1: None}, NOW)
    assert 75 <= exp(foretold.machine(stage(1, kind_id=7), 6).loc) <= 92
    assert foretold.setup_min(stage(1, kind_id=7), 6) > 70
    unknown = stage(1, kind_id=8, rule=(5, 1), quantity=10)
    assert exp(foretold.machine(unknown, 10).loc) == pytest.approx(15)


def test_of_one_in_hand_the_middle_of_more_than_it_has_taken() -> None:
    """An hour, of which twenty minutes are spent: a bit more than forty; of seventy spent, some still."""
    assert middle_min(Part(TOLD)) == pytest.approx(60)
    assert 40 < middle_min(Part(TOLD, 20.0)) < 41
    assert 5 < middle_min(Part(TOLD, 70.0)) < 30
    assert middle_min(Part(TOLD, 6000.0)) >= 0.0


def test_the_set_up_is_in_the_first_round() -> None:
    """Set-up ten, twenty a coat: thirty, twenty, twenty of seventy; one part, its shares sum to one."""
    told = Prediction(40.0, log(70.0), 0.3)
    own = rounds_left(told, Rule(10, 20), fresh(3), [1, 1, 1], 0.0)
    assert [each.middle_min for each in own] == pytest.approx([30, 20, 20])
    assert sum(each.share for each in own) == pytest.approx(1)
    assert len({id(each.part) for each in own}) == 1


def test_what_was_spent_is_spent_on_the_round_in_hand() -> None:
    """Ten minutes into the first coat its part is its own; the later coats take what they would."""
    told = Prediction(40.0, log(70.0), 0.3)
    own = rounds_left(told, Rule(10, 20), fresh(3), [1, 1, 1], 10.0)
    assert own[0].part.spent_min == 10
    assert 20 < own[0].middle_min < 21
    assert [each.middle_min for each in own[1:]] == pytest.approx([20, 20])
    assert own[1].part is own[2].part
    only = rounds_left(told, Rule(10, 20), fresh(3), [3], 10.0)
    assert only[0].part == Part(told, 10.0)


def test_without_minutes_a_unit_rounds_share_by_count() -> None:
    own = rounds_left(TOLD, Rule(60, 0), fresh(4), [1, 3], 0.0)
    assert [each.middle_min for each in own] == pytest.approx([15, 45])


def test_after_a_round_only_what_is_left_is_to_come() -> None:
    """The first of three coats is on, which had the set-up: of seventy minutes forty are left."""
    coats = stage(1, "finishing", recipe=OIL, rounds=True, quantity=3, rule=(10, 20))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "closed", ANN, 1, count=1.0)
    book.tap("8:40", "pause", ANN, 1)
    work = seen(shop(coats), book, "9:00").replayed.passes[1][0]
    own = rounds_left(Prediction(40.0, log(70.0), 0.3), Rule(10, 20), work, [1, 1], spent_since_round(work))
    assert spent_since_round(work) == pytest.approx(10)
    assert own[0].part.spent_min == pytest.approx(10)
    assert own[1].middle_min == pytest.approx(20)
