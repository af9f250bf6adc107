"""The plan that is shown: kept while nothing moves, carried over by its order, replaced by a better one."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.rules import best_rule, earliest_date
from shoptrack.engine.shapes.planned import Plan, Problem
from shoptrack.flows.planning import plan as plans
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.plan import Planned, keys_of, merged, offer, plan_now, settled, shown_number
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at, kept


def shown(store: Store, later_min: float = 0) -> Planned:
    return plan_now(store, gather(store, NOW + timedelta(minutes=later_min)))


def worst(problem: Problem, *_: object) -> Plan:
    """What nobody would plan: all in the opposite of the dates' order."""
    return build(problem, earliest_date(problem).priority[::-1])


@pytest.fixture
def poor(monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop whose rules are bad ones, so that a better plan can be found."""
    monkeypatch.setattr(plans, "best_rule", worst)
    monkeypatch.setattr(plans, "earliest_date", worst)


def decodes(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """What is decoded from here on, by the order of priority."""
    counted: list[object] = []

    def counting(problem: Problem, priority: Sequence[int], *given: object, **more: object) -> Plan:
        counted.append(priority)
        return build(problem, priority, *given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(plans, "build", counting)
    return counted


def test_nothing_is_reckoned_while_nothing_moves(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Within the minute the very same plan; the next minute one decode of the same order, the same number."""
    first = shown(joinery.store)
    counted = decodes(monkeypatch)
    assert shown(joinery.store) is first
    assert counted == []
    later = shown(joinery.store, 1)
    assert (later.number, len(counted)) == (first.number, 1)
    assert later.laid.start_at == first.laid.start_at + timedelta(minutes=1)


def test_a_tap_costs_one_decode_and_gives_another_number(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = shown(joinery.store)
    counted = decodes(monkeypatch)
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    assert shown(joinery.store).number != first.number
    assert len(counted) == 1


def test_a_new_job_is_ranked_by_its_date_where_that_is_better(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order as it was, and that of the dates: the better of both, once for each new job or date."""
    shown(joinery.store)
    counted = decodes(monkeypatch)
    joinery.add("door", "pantry door", NOW.date())
    planned = shown(joinery.store)
    assert len(counted) == 2
    assert planned.plan.worth <= planned.rule.worth
    shown(joinery.store, 1)
    assert len(counted) == 3


def test_starts_that_are_kept_anyway_cost_no_second_decode(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch, poor: None
) -> None:
    """What the worker found keeps the starts of coats: in the same minute it is built as it was found."""
    first = shown(joinery.store)
    better = replace(best_rule(first.laid.problem), by="search")
    tasks = first.laid.problem.tasks
    waits = [wait for task in tasks for wait in task.after if wait.greatest is not None]
    assert any(tasks[wait.task].begun is None for wait in waits)
    counted = decodes(monkeypatch)
    assert offer(joinery.store, first.laid, better, NOW)
    assert len(counted) == 1
    assert shown(joinery.store).plan.worth <= better.worth


def test_a_tap_itself_plans_nothing(joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch) -> None:
    shown(joinery.store)
    counted = decodes(monkeypatch)
    monkeypatch.setattr(plans, "lay", lambda *_: pytest.fail("a tap laid a problem"))
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    assert counted == []


def test_what_is_in_hand_is_not_moved_and_the_plan_follows_the_hand(joinery: Joinery, day: BusyDay) -> None:
    """Una has the frame, Piet the oil. Una lays it down and mills the letter tray: that is how it is then."""
    planned = shown(joinery.store)

    def begun(planned: Planned) -> set[tuple[int, int]]:
        tasks, workers = planned.laid.problem.tasks, planned.laid.problem.workers
        return {
            (workers[w].person, tasks[p.task].stage)
            for p in planned.plan.placed
            if tasks[p.task].begun is not None and p.start == 0
            for w in p.workers
        }

    assert begun(planned) == {(UNA, day.hall["frame"]), (PIET, day.letter["oiling"])}
    joinery.tap("start", at("13:24"), day.letter["milling"])
    assert (UNA, day.letter["milling"]) in begun(shown(joinery.store))


def test_a_better_plan_is_taken_over_quietly_and_outlives_a_tap(
    joinery: Joinery, day: BusyDay, poor: None
) -> None:
    """Found while nothing moved, it is shown with a new number; after the next tap its order is followed."""
    first = shown(joinery.store)
    better = replace(best_rule(first.laid.problem), by="search")
    assert better.worth < first.plan.worth
    assert offer(joinery.store, first.laid, better, NOW)
    second = shown(joinery.store)
    assert second.plan.worth <= better.worth
    assert (second.by, second.number != first.number, second.stale) == ("search", True, False)
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    third = shown(joinery.store, 1)
    assert (third.by, third.stale, third.made_at) == ("search", True, NOW)
    order = [key for key in keys_of(second.laid.problem, second.plan) if key[0] != day.hall["frame"]]
    assert third.plan.worth <= build(third.laid.problem, merged(order, third.laid.problem)).worth
    settled(joinery.store)
    assert not shown(joinery.store, 1).stale


def test_a_plan_for_a_log_that_moved_on_is_used_by_its_order(
    joinery: Joinery, day: BusyDay, poor: None
) -> None:
    """It was asked for before the tap and comes after it: its order is better for what is left too."""
    first = shown(joinery.store)
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    second = shown(joinery.store)
    assert offer(joinery.store, first.laid, best_rule(first.laid.problem), NOW)
    third = shown(joinery.store)
    assert third.plan.worth < second.plan.worth
    assert third.laid is second.laid


def test_one_that_is_no_better_is_not_taken(joinery: Joinery, day: BusyDay) -> None:
    """Neither a worse one nor an equal one: a plan changes as little as it can."""
    first = shown(joinery.store)
    assert not offer(joinery.store, first.laid, worst(first.laid.problem), NOW)
    assert not offer(joinery.store, first.laid, first.plan, NOW)
    assert shown(joinery.store) is first


def test_a_proof_is_taken_without_another_order(joinery: Joinery, day: BusyDay) -> None:
    """The same worth, now known to be best: the order stays. A minute in which nobody moved undoes it."""
    first = shown(joinery.store)
    assert offer(joinery.store, first.laid, replace(first.plan, proven=True), NOW)
    second = shown(joinery.store)
    assert second.proven
    assert second.plan.placed == first.plan.placed
    assert second.number != first.number
    assert not shown(joinery.store, 30).proven


def test_a_plan_that_breaks_a_rule_is_dropped_and_said(
    joinery: Joinery, day: BusyDay, poor: None, caplog: pytest.LogCaptureFixture
) -> None:
    """All at once at minute nought would be wonderful."""
    first = shown(joinery.store)
    better = best_rule(first.laid.problem)
    placed = tuple(replace(p, end=p.start, hands_end=p.start) for p in better.placed)
    assert not offer(joinery.store, first.laid, replace(better, placed=placed), NOW)
    assert "was dropped" in caplog.text
    assert shown(joinery.store) is first


def test_a_broken_plan_of_our_own_is_not_shown(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(plans, "check", lambda problem, plan: ("A joint is worked on in its clamps.",))
    planned = shown(joinery.store)
    assert planned.plan.placed == ()
    assert "A joint is worked on in its clamps." in caplog.text


def test_each_store_has_its_own(joinery: Joinery, day: BusyDay, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = kept("busy").put(tmp_path / "other")
    first, second = shown(joinery.store), shown(other)
    assert first is not second
    assert first.number != second.number
    assert shown(joinery.store) is first
    other.close()


def test_the_number_is_known_for_this_state_of_the_log_alone(joinery: Joinery, day: BusyDay) -> None:
    planned = shown(joinery.store)
    assert shown_number(joinery.store, planned.head, "") == planned.number
    assert shown_number(joinery.store, planned.head, "learned since") is None
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    assert shown_number(joinery.store, gather(joinery.store, NOW).head, "") is None


def test_new_work_comes_where_its_date_puts_it(joinery: Joinery, day: BusyDay) -> None:
    """The order of the plan knows nothing of a job that came since; all of it is planned nevertheless."""
    planned = shown(joinery.store)
    keys = keys_of(planned.laid.problem, planned.plan)
    joinery.add("door", "pantry door", None)
    problem = lay(gather(joinery.store, NOW)).problem
    order = merged(keys, problem)
    assert len(set(order)) == len(order) == sum(1 for t in problem.tasks if t.begun is None)
    known = [(problem.tasks[n].stage, problem.tasks[n].part) for n in order]
    assert [key for key in known if key in keys] == list(keys)


def test_an_empty_shop_has_an_empty_plan(joinery: Joinery) -> None:
    planned = shown(joinery.store)
    assert planned.plan.placed == ()
    assert planned.rule.placed == ()
