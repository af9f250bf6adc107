"""What the shop learned: from its own times, kept until one changes, with the record of what was foretold."""

from math import exp

import pytest
from sqlalchemy import update

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shapes import Rule
from shoptrack.flows import learning
from shoptrack.flows.learning import before_a_tap, fit_all, lately, learn, learned, remembered
from shoptrack.store import logs, shop
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.rules import kinds_with_rules
from shoptrack.store.tables import HeadRow, PredictionRow
from tests.flows.worked import mill, stage_at
from tests.joinery import NOW, UNA, Joinery, at

MINUTES = [48, 52, 50, 55, 49, 51, 47, 53]


def test_the_middle_comes_from_the_times(joinery: Joinery) -> None:
    """Two boards are 35 minutes by rule of thumb; eight trays took about 50."""
    milling = joinery.kinds["milling"]
    first = learned(joinery.store, NOW).foretell(milling, 2.0, 1)
    mill(joinery, MINUTES)
    now = learned(joinery.store, NOW).foretell(milling, 2.0, 1)
    assert quantile_min(first, 0.5) == pytest.approx(35)
    assert 45 < quantile_min(now, 0.5) < 52
    assert (now.logs, now.of_pattern, now.untested) == (8, 8, False)
    assert learned(joinery.store, NOW).foretell(milling, 2.0).untested


def test_nothing_is_fitted_again_until_a_time_or_a_rule_changes(joinery: Joinery) -> None:
    """A start is no time yet; a finish, a word on a time and another rule of thumb are."""
    mill(joinery, MINUTES[:4])
    seen = [learned(joinery.store, NOW)]
    tray = joinery.add("tray", "tray", None)
    joinery.tap("note", at("9:00"), tray["milling"], text="knots")
    assert learned(joinery.store, NOW) is seen[0]
    stage_at(joinery, tray["milling"], at("9:10"), 50)
    seen.append(learned(joinery.store, NOW))
    with joinery.store.writing() as session:
        say_of_log(session, f"s{tray['milling']}", False, UNA, NOW)
    seen.append(learned(joinery.store, NOW))
    with joinery.store.writing() as session:
        shop.set_rule(session, joinery.kinds["milling"], from_at=NOW, rule=Rule(30, 10))
    seen.append(learned(joinery.store, NOW))
    assert len({id(one) for one in seen}) == len({one.version for one in seen}) == 4
    milling = [one.kinds[joinery.kinds["milling"]] for one in seen]
    assert [len(one.times) for one in milling] == [4, 5, 5, 5]
    assert [one.hands.weights[-1] for one in milling[2:]] == [0, 0]
    assert milling[3].hands.rule == Rule(30, 10)


def test_it_is_what_all_times_at_once_teach(joinery: Joinery) -> None:
    """Read on bit by bit, or all of it by ``fit_all``."""
    for first in (-60, -40, -20):
        mill(joinery, MINUTES[:5], first=first)
        bit_by_bit = learned(joinery.store, NOW)
    with joinery.store.reading() as session:
        whole = fit_all(kinds_with_rules(session, NOW), logs.logged(session))
    for kind, own in whole.kinds.items():
        known = bit_by_bit.kinds[kind]
        assert (known.times, known.orders, known.hands.weights) == (own.times, own.orders, own.hands.weights)
        assert known.hands.mean == pytest.approx(own.hands.mean)


def test_a_watched_machine_has_a_model_of_its_own(joinery: Joinery) -> None:
    """Carving a piece: the router ran an hour each time, Una was within earshot as long."""
    for days in range(-12, -8):
        tray = joinery.add("tray", f"tray {days}", None)
        stage_at(joinery, tray["carving the well"], at("9:00", days), 60)
    known = learned(joinery.store, NOW)
    carving = joinery.kinds["carving"]
    assert known.foretell_machine(joinery.kinds["milling"], 2.0) is None
    machine = known.foretell_machine(carving, 1.0, 1)
    assert machine is not None
    assert exp(machine.loc) == pytest.approx(exp(known.foretell(carving, 1.0, 1).loc), rel=0.05)


def test_an_order_repeats_those_before_it(joinery: Joinery) -> None:
    (first, *_) = mill(joinery, MINUTES)
    own = learned(joinery.store, NOW).kinds[joinery.kinds["milling"]]
    assert own.repeats(1, f"j{first['job']}") == 0
    assert (own.repeats(1), own.repeats(1, "j999"), own.repeats(None), own.repeats(99)) == (8, 8, 0, 0)


def test_the_record_and_the_likeness_come_along(joinery: Joinery) -> None:
    """Twelve trays; where milling ran long the glue-up did, so stages of one job are alike."""
    for n, days in enumerate(day for day in range(-40, -10) if at("12:00", day).weekday() < 5):
        tray, slow = joinery.add("tray", f"tray {n}", None), 1.3 if n % 2 else 0.75
        stage_at(joinery, tray["milling"], at("9:00", days), 35 * slow)
        stage_at(joinery, tray["glue-up"], at("10:00", days), 30 * slow)
    known = learned(joinery.store, NOW)
    assert known.likeness > 0.3
    assert all(len(own) == 2 for own in known.surprises.values())
    assert len(known.track) == sum(map(len, known.surprises.values())) > 30
    assert {one.later for one in known.track} == {True}


def test_what_is_remembered_costs_nothing_and_is_of_this_database(joinery: Joinery) -> None:
    assert remembered(joinery.store) is None
    known = learned(joinery.store, NOW)
    assert remembered(joinery.store) is known
    assert remembered(joinery.store, "joinery") is known
    assert remembered(joinery.store, "another") is None


def test_a_tap_learns_once_and_never_waits_for_a_learner(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cold it reads once; that may then be a few finishes old. Beside a learner it takes what there is."""
    monkeypatch.setattr(learning, "LOOKED_AFTER", {joinery.store})
    assert before_a_tap(joinery.store, NOW) is None
    monkeypatch.setattr(learning, "LOOKED_AFTER", set())
    known = before_a_tap(joinery.store, NOW)
    mill(joinery, MINUTES[:4])
    assert before_a_tap(joinery.store, NOW) is known
    monkeypatch.setattr(learning, "LOOKED_AFTER", {joinery.store})
    assert lately(joinery.store, NOW) is known
    monkeypatch.setattr(learning, "LOOKED_AFTER", set())
    assert lately(joinery.store, NOW) is not known


def test_beside_a_learner_a_new_kind_and_another_rule_are_known_at_once(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A quote made seconds after a kind was added reckons with it, and not as if it took no time."""
    known = learned(joinery.store, NOW)
    monkeypatch.setattr(learning, "LOOKED_AFTER", {joinery.store})
    assert lately(joinery.store, NOW) is known
    with joinery.store.writing() as session:
        bending = shop.make_kind(session, "bending", unit="pieces", rule=Rule(5, 20), from_at=NOW).id
        shop.set_rule(session, joinery.kinds["milling"], from_at=NOW, rule=Rule(30, 10))
    found = lately(joinery.store, NOW)
    assert quantile_min(found.foretell(bending, 2.0), 0.5) == pytest.approx(45)
    assert found.kinds[joinery.kinds["milling"]].kind.rule == Rule(30, 10)
    assert lately(joinery.store, NOW) is found


def test_after_a_restore_nothing_is_left_of_the_database_before(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same times, of which something else was foretold; a learner that has not looked since."""
    mill(joinery, MINUTES[:4])
    before = learned(joinery.store, NOW)
    with joinery.store.writing() as session:
        session.execute(update(PredictionRow).values(loc=PredictionRow.loc + 1))
        session.execute(update(HeadRow).values(database_id="restored"))
    monkeypatch.setattr(learning, "LOOKED_AFTER", {joinery.store})
    after = lately(joinery.store, NOW)
    assert after.database == "restored"
    moved = [a.prediction.loc - b.prediction.loc for a, b in zip(after.track, before.track, strict=True)]
    assert moved == pytest.approx([1] * 4)


def test_beside_a_learner_a_page_settles_nothing(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    mill(joinery, MINUTES[:4])
    with monkeypatch.context() as beside:
        beside.setattr(learning, "LOOKED_AFTER", {joinery.store})
        assert learned(joinery.store, NOW).track == ()
    assert len(learned(joinery.store, NOW).track) == 4
    with joinery.store.reading() as session:
        assert len(learn(joinery.store, session, NOW).track) == 4


def test_a_shop_without_a_log_has_learned_nothing(joinery: Joinery) -> None:
    known = learned(joinery.store, NOW)
    assert (known.track, known.surprises, known.likeness) == ((), {}, 0.3)
    assert set(known.kinds) == set(joinery.kinds.values())
