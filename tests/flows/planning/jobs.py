"""Jobs for a worker process that tests begin: they say what it has loaded, wait, or die as they are told."""

import os
import sys
from time import monotonic

from shoptrack.engine.schedule.build import build
from shoptrack.engine.shapes.planned import Plan
from shoptrack.flows.planning import worker
from shoptrack.flows.planning.worker import Better, Stop, Tell

CODE = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "import tests.flows.planning.jobs as jobs; jobs.serve()"
)


def modules(given: object, tell: Tell, stop: Stop) -> list[str]:
    """All that the process has loaded."""
    return sorted(sys.modules)


def nice(given: object, tell: Tell, stop: Stop) -> int:
    """How nice the process is."""
    return os.nice(0)


def die(given: object, tell: Tell, stop: Stop) -> None:
    """End in the middle of it, as where the machine is out of memory."""
    os._exit(3)


def fail(given: object, tell: Tell, stop: Stop) -> None:
    raise ArithmeticError("no such figure")


def chatter(given: object, tell: Tell, stop: Stop) -> str:
    """Print, as libraries do, where only answers may go."""
    print("presolve: 3 variables")
    return "said"


def turned_round(given: Better, tell: Tell, stop: Stop) -> Plan:
    """The plan of the opposite order at once; then wait until something newer comes, or the time is over."""
    found = build(given.problem, given.hint.priority[::-1], by="search")
    tell(found)
    ends = monotonic() + given.seconds
    while not stop() and monotonic() < ends:
        pass
    return found


def die_with_it(given: Better, tell: Tell, stop: Stop) -> Plan:
    """Tell a plan, then die."""
    tell(build(given.problem, given.hint.priority[::-1], by="search"))
    os._exit(3)


def serve() -> None:
    """The worker's life with these jobs; the "plan" is what the environment names."""
    plan = {"die": die_with_it, "turn": turned_round}[os.environ.get("PLAN_JOB", "turn")]
    named = {f.__name__: f for f in (modules, nice, die, fail, chatter)}
    worker.JOBS.update({"plan": plan, **named})
    worker.main()
