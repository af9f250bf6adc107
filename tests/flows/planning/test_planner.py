"""The planner beside a server: it waits for a pause, asks the worker, and loses nothing when that dies."""

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from queue import Queue

import pytest
from sqlalchemy import delete

from shoptrack.engine.schedule.rules import best_rule
from shoptrack.flows.planning import plan as plans
from shoptrack.flows.planning import planner as beside
from shoptrack.flows.planning.pipe import Pipe
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.planner import Planner, planner_of
from shoptrack.flows.planning.worker import Answer, Ask
from shoptrack.flows.shopfloor import gather
from shoptrack.store.tables import ShopRow
from tests.flows.planning.jobs import CODE
from tests.flows.planning.test_plan import shown, worst
from tests.joinery import NOW, BusyDay, Joinery, at

WAIT_S = 60


@dataclass
class Line:
    """A worker that writes down what it is asked, and answers nothing by itself."""

    hear: Callable[[Answer], None]
    asks: list[Ask] = field(default_factory=list)
    alive: bool = True
    pid: int = 7

    def ask(self, ask: Ask) -> bool:
        if self.alive:
            self.asks.append(ask)
        return self.alive

    def end(self) -> None:
        self.alive = False


@dataclass
class Beside:
    """A planner whose clock stands until it is moved, and the workers that it began."""

    planner: Planner
    lines: list[Line]
    now: list[datetime]

    def look(self, seconds: float = 0.0) -> bool:
        self.now[0] += timedelta(seconds=seconds)
        return self.planner.look()

    @property
    def asks(self) -> list[Ask]:
        return [ask for line in self.lines for ask in line.asks]


@pytest.fixture
def watched(joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch) -> Iterator[Beside]:
    """A shop that plans badly by itself, so that there is something to find."""
    monkeypatch.setattr(plans, "best_rule", worst)
    monkeypatch.setattr(plans, "earliest_date", worst)
    lines: list[Line] = []
    now = [NOW]

    def begin(hear: Callable[[Answer], None]) -> Pipe:
        lines.append(Line(hear))
        return lines[-1]  # type: ignore[return-value]

    planner = Planner(joinery.store, lambda: now[0], begin=begin)
    yield Beside(planner, lines, now)
    planner.stop()


def test_it_waits_for_two_seconds_without_a_tap_and_asks_once(
    joinery: Joinery, watched: Beside, day: BusyDay
) -> None:
    assert not watched.look()
    assert not watched.look(1.5)
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    assert not watched.look(0.4)
    assert not watched.look(1.9)
    assert watched.look(0.2)
    assert not watched.look(60)
    (ask,) = watched.asks
    assert ask.job == "plan"
    assert ask.given.problem.tasks
    assert ask.given.hint.placed


def test_a_better_plan_is_shown_and_a_later_one_of_the_same_ask_too(
    joinery: Joinery, watched: Beside
) -> None:
    watched.look()
    watched.look(2)
    first, (ask,) = shown(joinery.store), watched.asks
    better = best_rule(ask.given.problem)
    watched.planner.hear(Answer(ask.number, "plan", better, done=False, peak_kb=41_000))
    second = shown(joinery.store)
    assert second.plan.worth < first.plan.worth
    watched.planner.hear(Answer(ask.number, "plan", replace(better, by="solver"), done=True))
    assert not shown(joinery.store).stale
    assert watched.planner.peak_kb == 41_000


def test_the_log_moves_on_while_a_plan_is_looked_for(joinery: Joinery, watched: Beside, day: BusyDay) -> None:
    """The solver, which hears nothing, has the old problem: a new worker gets the new one. What the old one
    still says is nobody's any more."""
    watched.look()
    watched.look(2)
    (old,) = watched.asks
    watched.planner.hear(Answer(old.number, "plan", old.given.hint, done=False))
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    watched.look()
    assert watched.look(2)
    assert [line.alive for line in watched.lines] == [False, True]
    new = watched.lines[1].asks[0]
    assert len(new.given.problem.tasks) != len(old.given.problem.tasks)
    before = shown(joinery.store)
    watched.planner.hear(Answer(old.number, "plan", best_rule(old.given.problem), done=True))
    assert shown(joinery.store) is before


def test_one_at_a_time_while_it_still_searches(joinery: Joinery, watched: Beside, day: BusyDay) -> None:
    """The search does hear: the same worker gets the newer problem and drops the older by itself."""
    watched.look()
    watched.look(2)
    joinery.tap("finish", at("13:24"), day.hall["frame"])
    watched.look()
    assert watched.look(2)
    assert len(watched.lines) == 1
    assert [ask.job for ask in watched.asks] == ["plan", "plan"]


def test_a_dead_worker_is_begun_again_and_goes_on_from_the_best(joinery: Joinery, watched: Beside) -> None:
    watched.look()
    watched.look(2)
    (ask,) = watched.asks
    better = best_rule(ask.given.problem)
    watched.planner.hear(Answer(ask.number, "plan", better, done=False))
    promise = watched.planner.work_out("promise", "how soon")
    watched.lines[-1].alive = False
    before = len(watched.lines)
    watched.look()
    again = watched.lines[-1].asks
    assert len(watched.lines) == before + 1
    assert [a.job for a in again] == ["plan", "promise"]
    assert again[0].given.hint == better
    watched.planner.hear(Answer(again[1].number, "promise", "on Friday", done=True))
    assert promise.result(0) == "on Friday"


def test_what_kills_every_worker_is_left(watched: Beside, caplog: pytest.LogCaptureFixture) -> None:
    promise = watched.planner.work_out("promise", "too much")
    for _ in range(beside.TRIES):
        watched.lines[-1].alive = False
        watched.look()
    assert "it is left" in caplog.text
    with pytest.raises(RuntimeError, match="ended each time"):
        promise.result(0)


def test_what_fails_is_told_to_whoever_waits(watched: Beside, caplog: pytest.LogCaptureFixture) -> None:
    promise = watched.planner.work_out("promise", "nonsense")
    watched.planner.hear(Answer(watched.asks[0].number, "promise", None, done=True, trouble="no such figure"))
    with pytest.raises(RuntimeError, match="no such figure"):
        promise.result(0)
    assert "no such figure" in caplog.text


def test_nobody_waits_for_ever_when_it_stops(watched: Beside) -> None:
    promise = watched.planner.work_out("promise", "how soon")
    watched.planner.stop()
    with pytest.raises(CancelledError):
        promise.result(0)
    assert not watched.lines[-1].alive


def test_a_proven_plan_and_an_empty_shop_need_no_worker(joinery: Joinery, watched: Beside) -> None:
    planned = shown(joinery.store)
    plans.offer(joinery.store, planned.laid, replace(planned.plan, proven=True), NOW)
    watched.look()
    assert not watched.look(2)
    assert watched.asks == []


def test_nothing_is_asked_of_one_that_has_stopped(watched: Beside) -> None:
    watched.planner.stop()
    with pytest.raises(CancelledError):
        watched.planner.work_out("outlook", None).result(timeout=WAIT_S)
    assert watched.asks == []


def test_a_shop_that_is_not_set_up_is_not_planned(joinery: Joinery, watched: Beside) -> None:
    """The guided start may take an evening: nothing is written down as broken meanwhile."""
    with joinery.store.writing() as session:
        session.execute(delete(ShopRow))
    watched.look()
    assert not watched.look(3)
    assert watched.asks == []


@contextmanager
def running(joinery: Joinery) -> Iterator[tuple[Planner, "Queue[Answer]"]]:
    """A planner with a worker process that tells the opposite order and then goes on for an hour."""
    heard: Queue[Answer] = Queue()

    def begin(hear: Callable[[Answer], None]) -> Pipe:
        def both(answer: Answer) -> None:
            hear(answer)
            heard.put(answer)

        return Pipe(both, CODE)

    planner = Planner(joinery.store, lambda: NOW, pause_s=0.0, seconds=3600, begin=begin)
    try:
        yield planner, heard
    finally:
        planner.stop()


def test_a_worker_killed_in_the_middle_of_it(joinery: Joinery, day: BusyDay) -> None:
    """The plan is still shown; another worker is begun, asked again, and answers."""
    with running(joinery) as (planner, heard):
        assert planner.look()
        heard.get(timeout=WAIT_S)
        first, before = planner.worker, shown(joinery.store)
        assert first is not None
        os.kill(first, signal.SIGTERM)
        while planner.worker is not None:
            pass
        assert plan_now(joinery.store, gather(joinery.store, NOW)) is before
        planner.look()
        heard.get(timeout=WAIT_S)
        assert planner.worker not in (None, first)
        assert planner.peak_kb > 1000
    assert planner.worker is None


def test_it_runs_beside_a_server_and_ends(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "LOOK_EVERY_S", 0.01)
    with running(joinery) as (planner, heard):
        planner.start()
        assert planner_of(joinery.store) is planner
        heard.get(timeout=WAIT_S)
    assert planner_of(joinery.store) is None


def test_what_breaks_is_written_down_and_tried_again(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(beside, "LOOK_EVERY_S", 0.01)
    tried: Queue[int] = Queue()

    def broken(self: Planner) -> bool:
        tried.put(1)
        raise RuntimeError("no room")

    monkeypatch.setattr(Planner, "look", broken)
    planner = Planner(joinery.store, lambda: NOW)
    planner.start()
    for _ in range(2):
        tried.get(timeout=WAIT_S)
    planner.stop()
    assert "No better plan could be asked for this time." in caplog.text
