"""A problem sent down a pipe → better and better plans of it up the pipe, from a process of its own.

The process imports the engine alone: no database, no page. It is started afresh, never forked, from a line of
its own instead of the server's main module, which would bring all of the server along. It runs at low
priority, and it ends when its pipe closes, so nothing of it outlives a server that was killed.
"""

import os
import pickle
import signal
import sys
import traceback
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from threading import Condition, Lock, Thread
from time import monotonic
from typing import Any, BinaryIO

from shoptrack.engine.shapes.planned import Plan, Problem

NICE = 10
TELL_EVERY_S = 2.0
SEARCH_SHARE = 3
"""One part in so many of the time goes to the search, the rest to the solver that goes on from it."""
SEED = 20_250_101


@dataclass(frozen=True, slots=True)
class Ask:
    """Something to be worked out: which job, by name, and what it is given. A newer "plan" replaces it."""

    number: int
    job: str
    given: Any


@dataclass(frozen=True, slots=True)
class Better:
    """A problem with the best plan known of it; a better one is looked for, for so many seconds."""

    problem: Problem
    hint: Plan
    seconds: float


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of an ask; ``done``: nothing more comes of it. ``trouble``: why nothing did.

    ``peak_kb`` is the most memory that the process has held.
    """

    number: int
    job: str
    result: Any
    done: bool
    trouble: str = ""
    peak_kb: int = 0


Tell = Callable[[Any], None]
Stop = Callable[[], bool]
Job = Callable[[Any, Tell, Stop], Any]


def better_plan(given: Better, tell: Callable[[Plan], None], stop: Stop) -> Plan:
    """Search from a plan, then let the solver polish what was found; tells each plan that is better.

    The first that is told is the search's: from then on nothing is heard until the solver is done.
    """
    # imported here: what only learns how the messages look needs neither
    import numpy as np

    from shoptrack.engine.schedule.improve import can_improve, improve
    from shoptrack.engine.schedule.search import search

    problem, best, ends = given.problem, given.hint, monotonic() + given.seconds
    share = SEARCH_SHARE if can_improve() else 1
    until = monotonic() + given.seconds / share
    best = search(problem, best, np.random.default_rng(SEED), lambda: stop() or monotonic() > until)
    tell(best)
    left = ends - monotonic()
    if stop() or left <= 0 or not can_improve():
        return best
    return improve(problem, best, left, workers=solvers(), tell=tell)


def solvers() -> int:
    """How many threads the solver gets: one where the shop's pages have but one other core."""
    return 1 if (os.cpu_count() or 1) <= 2 else 2


def futures(given: Any, tell: Tell, stop: Stop) -> Any:
    """What may come of the orders of a shop, by ``engine.outlook``."""
    from shoptrack.engine.outlook import look_ahead

    return look_ahead(given)


def worth_doing(given: Any, tell: Tell, stop: Stop) -> Any:
    """What is worth doing together or tonight, by ``engine.worthwhile``."""
    from shoptrack.engine.worthwhile import worthwhile

    return worthwhile(given)


JOBS: dict[str, Job] = {"plan": better_plan, "outlook": futures, "worthwhile": worth_doing}
"""What can be asked, by name. All but "plan" goes before it: somebody waits for the answer."""


class Desk:
    """What was asked and not yet answered: the newest plan, and before it all else in its order."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._plan: Ask | None = None
        self._others: deque[Ask] = deque()
        self._closed = False

    def put(self, ask: Ask) -> None:
        """Take an ask; a plan replaces the plan that waits."""
        with self._changed:
            if ask.job == "plan":
                self._plan = ask
            else:
                self._others.append(ask)
            self._changed.notify()

    def put_back(self, ask: Ask) -> None:
        """A plan that was broken off goes on later, unless a newer one has come."""
        with self._changed:
            self._plan = self._plan or (None if self._closed else ask)

    def close(self) -> None:
        """Nothing more comes."""
        with self._changed:
            self._closed = True
            self._changed.notify()

    def take(self) -> Ask | None:
        """The next ask, once there is one; None when nothing more comes."""
        with self._changed:
            self._changed.wait_for(lambda: self._others or self._plan or self._closed)
            if self._others:
                return self._others.popleft()
            ask, self._plan = self._plan, None
            return ask

    def waits(self) -> bool:
        """Whether anything waits that goes before the plan that is being looked for."""
        return bool(self._others) or self._plan is not None

    def stops(self) -> bool:
        """Whether to stop looking: for what waits, or because nobody wants anything any more."""
        return self._closed or self.waits()


class Teller:
    """Writes answers; plans that come fast after one another are thinned out, the last is never lost."""

    def __init__(self, out: BinaryIO, every_s: float = TELL_EVERY_S) -> None:
        self._out, self._every_s = out, every_s
        self._turn = Lock()
        self._told_at, self._of = -every_s, 0

    def now_and_then(self, ask: Ask, result: Any) -> None:
        """Tell what was found so far, if it is the first of an ask or the last telling is a while ago."""
        if self._of != ask.number or monotonic() - self._told_at >= self._every_s:
            self._told_at, self._of = monotonic(), ask.number
            self.tell(Answer(ask.number, ask.job, result, done=False))

    def tell(self, answer: Answer) -> None:
        """Send an answer. Raises BrokenPipeError when nobody is there to hear it."""
        with self._turn:
            pickle.dump(replace(answer, peak_kb=peak_kb()), self._out, pickle.HIGHEST_PROTOCOL)
            self._out.flush()


def work(desk: Desk, teller: Teller, jobs: Mapping[str, Job] = JOBS) -> None:
    """Answer what is asked until nothing more comes."""
    while (ask := desk.take()) is not None:
        try:
            _answer(ask, desk, teller, jobs[ask.job])
        except BrokenPipeError:
            return
        except Exception:
            teller.tell(Answer(ask.number, ask.job, None, done=True, trouble=traceback.format_exc()))


def _answer(ask: Ask, desk: Desk, teller: Teller, job: Job) -> None:
    if not isinstance(ask.given, Better):
        teller.tell(Answer(ask.number, ask.job, job(ask.given, lambda _: None, lambda: False), done=True))
        return
    began = monotonic()
    found = job(ask.given, lambda plan: teller.now_and_then(ask, plan), desk.stops)
    left = ask.given.seconds - (monotonic() - began)
    broken_off = desk.waits() and left > 0
    teller.tell(Answer(ask.number, ask.job, found, done=not broken_off))
    if broken_off:
        desk.put_back(replace(ask, given=replace(ask.given, hint=found, seconds=left)))


def peak_kb() -> int:
    """The most memory that this process has held, in kB; 0 where the machine does not say."""
    try:
        import resource
    except ImportError:  # Windows
        return 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak // 1024 if sys.platform == "darwin" else peak


def read_asks(asked: BinaryIO, desk: Desk, leave: Callable[[], None]) -> None:
    """Put what comes down the pipe on the desk; when it closes, leave whatever is being worked out."""
    with suppress(EOFError, OSError, pickle.UnpicklingError):
        while True:
            desk.put(pickle.load(asked))
    desk.close()
    leave()


def main() -> None:
    """The whole life of the process: asks from stdin, answers to stdout."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the server's, which then closes the pipe
    if hasattr(os, "nice"):
        os.nice(NICE)
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints goes to the errors, not into the pipe
    desk = Desk()
    Thread(target=read_asks, args=(sys.stdin.buffer, desk, lambda: os._exit(0)), daemon=True).start()
    work(desk, Teller(out))
