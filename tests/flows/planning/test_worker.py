"""The worker by itself: what it does first, what it drops, and that it knows of nothing but the engine."""

import pickle
import subprocess
import sys
from io import BytesIO
from threading import Event

import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import Order, Plan, Problem, Resource, Task
from shoptrack.flows.planning import worker
from shoptrack.flows.planning.worker import Answer, Ask, Better, Desk, Teller, better_plan, read_asks, work

PROBLEM = Problem((Task(0, 10, crew=0), Task(1, 20, crew=0)), (Order("a"), Order("b")))
PLAN = build(PROBLEM, (0, 1))


def answers(out: BytesIO) -> list[Answer]:
    out.seek(0)
    found = []
    while True:
        try:
            found.append(pickle.load(out))
        except EOFError:
            return found


def better(seconds: float = 60.0) -> Better:
    return Better(PROBLEM, PLAN, seconds)


def test_a_newer_plan_replaces_the_one_that_waits_and_all_else_goes_first() -> None:
    """Two plans and a promise wait: the promise is worked out, then the newer plan; the older never is."""
    desk = Desk()
    desk.put(Ask(1, "plan", better()))
    desk.put(Ask(2, "promise", "x"))
    desk.put(Ask(3, "plan", better()))
    desk.close()
    asked = [desk.take(), desk.take(), desk.take()]
    assert [ask.number if ask else None for ask in asked] == [2, 3, None]


def test_a_plan_makes_room_for_a_promise_and_goes_on_after_it() -> None:
    """While a plan is looked for a promise is asked: the plan so far is told, the promise answered, and the
    plan taken up again from there with what is left of its time."""
    desk, out, hints = Desk(), BytesIO(), []

    def plan(given: Better, tell: worker.Tell, stop: worker.Stop) -> Plan:
        hints.append(given)
        if len(hints) == 1:
            desk.put(Ask(2, "promise", "p"))
            assert stop()
            return build(PROBLEM, (1, 0))
        desk.close()
        return given.hint

    desk.put(Ask(1, "plan", better()))
    work(desk, Teller(out), {"plan": plan, "promise": lambda given, tell, stop: given * 2})
    told = answers(out)
    assert [(a.number, a.done) for a in told] == [(1, False), (2, True), (1, True)]
    assert told[1].result == "pp"
    assert hints[1].hint == told[0].result
    assert hints[1].seconds < 60


def test_a_newer_problem_is_a_reason_to_stop() -> None:
    desk = Desk()
    desk.put(Ask(1, "plan", better()))
    desk.take()
    assert not desk.stops()
    desk.put(Ask(2, "plan", better()))
    assert desk.stops()
    desk.put_back(Ask(1, "plan", better()))
    ask = desk.take()
    assert ask is not None
    assert ask.number == 2


def test_what_fails_is_told_and_the_next_is_answered() -> None:
    desk, out = Desk(), BytesIO()

    def broken(given: object, tell: worker.Tell, stop: worker.Stop) -> None:
        raise ArithmeticError("no such figure")

    desk.put(Ask(1, "broken", None))
    desk.put(Ask(2, "promise", "p"))
    desk.close()
    work(desk, Teller(out), {"broken": broken, "promise": lambda given, tell, stop: given})
    first, second = answers(out)
    assert "no such figure" in first.trouble
    assert (first.result, first.done, second.result) == (None, True, "p")
    assert second.peak_kb > 1000


def test_plans_that_come_fast_are_thinned_out() -> None:
    """Of five plans in a row the first of each ask is sent; its last comes with the answer."""
    out = BytesIO()
    teller = Teller(out, every_s=3600)
    for number in (1, 1, 1, 2, 2):
        teller.now_and_then(Ask(number, "plan", None), PLAN)
    assert [(a.number, a.done) for a in answers(out)] == [(1, False), (2, False)]


def test_it_ends_when_nobody_listens() -> None:
    class Gone(BytesIO):
        def flush(self) -> None:
            raise BrokenPipeError

    desk = Desk()
    desk.put(Ask(1, "promise", "p"))
    work(desk, Teller(Gone()), {"promise": lambda given, tell, stop: given})


def test_it_leaves_when_the_pipe_closes() -> None:
    """Whatever it is at; half a message is as good as none."""
    desk, left = Desk(), Event()
    whole = pickle.dumps(Ask(1, "promise", "p"))
    read_asks(BytesIO(whole + whole[:9]), desk, left.set)
    assert left.is_set()
    ask = desk.take()
    assert ask is not None
    assert (ask.number, desk.take()) == (1, None)


def test_search_and_solver_find_what_the_rule_did_not() -> None:
    """On one bench, a long job before a short one that is promised first: the other way round is best."""
    tasks = tuple(Task(n, work, crew=0, uses=((0, 1),)) for n, work in enumerate((100, 10, 10)))
    problem = Problem(tasks, (Order("a"), Order("b", 15), Order("c", 15)), resources=(Resource("bench", 1),))
    first, told = build(problem, (0, 1, 2)), []
    found = better_plan(Better(problem, first, 3.0), told.append, lambda: False)
    assert found.worth.late == 5
    assert found.worth < first.worth
    assert told[0].by == "search"


def test_one_thread_for_the_solver_where_the_pages_need_the_other_core(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for cores, threads in ((1, 1), (2, 1), (8, 2), (None, 1)):
        monkeypatch.setattr("os.cpu_count", lambda cores=cores: cores)
        assert worker.solvers() == threads


def test_a_fresh_process_with_the_worker_has_no_database_and_no_page() -> None:
    """With the search, the solver and the promise loaded too."""
    code = (
        "import sys, shoptrack.flows.planning.worker\n"
        "import shoptrack.engine.schedule.improve, shoptrack.engine.schedule.search\n"
        "print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "shoptrack.flows.planning.worker" in loaded
    assert not loaded & {"sqlalchemy", "flask", "alembic", "click", "shoptrack.store", "shoptrack.config"}
