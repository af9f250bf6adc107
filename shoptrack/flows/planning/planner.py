"""A thread beside the server has better plans looked for, in another process, whenever the taps pause."""

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import count
from typing import Any
from weakref import WeakKeyDictionary

from shoptrack.errors import NotSetUp
from shoptrack.flows.learning import remembered
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.planning.pipe import Pipe
from shoptrack.flows.planning.plan import offer, plan_now, settled
from shoptrack.flows.planning.worker import Answer, Ask, Better
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store, head

LOOK_EVERY_S = 0.5
PAUSE_S = 2.0
IMPROVE_S = 30.0
AGAIN_EVERY = timedelta(hours=1)
"""Also while nobody taps a plan is looked for anew so often: what was to begin has not begun."""
TRIES = 3
"""An ask at which the worker died so often is given up until the next change."""

LOGGER = logging.getLogger("shoptrack.planned")


@dataclass(slots=True)
class _Asked:
    """An ask that is out: what the answer is for, and how often it was sent.

    ``polishing``: the solver has it, which hears nothing until it is done.
    """

    ask: Ask
    laid: Laid | None = None
    future: "Future[Any] | None" = None
    sent: int = 1
    polishing: bool = False


class Planner:
    """Improves the plan while a server runs. ``clock`` tells the time; start it from serve only."""

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime],
        pause_s: float = PAUSE_S,
        seconds: float = IMPROVE_S,
        begin: Callable[[Callable[[Answer], None]], Pipe] = Pipe,
    ) -> None:
        self._store, self._clock, self._seconds, self._begin = store, clock, seconds, begin
        self._pause = timedelta(seconds=pause_s)
        self._mark: object = None
        self._moved_at: datetime | None = None
        self._sent = False
        self._out: dict[int, _Asked] = {}
        self._numbers = count(1)
        self._turn = threading.RLock()
        self._pipe: Pipe | None = None
        self._ended: list[Pipe] = []
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="planner", daemon=True)
        self.peak_kb = 0

    def start(self) -> None:
        """Begin to watch the log."""
        PLANNERS[self._store] = self
        self._thread.start()

    def stop(self) -> None:
        """End, and the worker with it, whatever it is at."""
        PLANNERS.pop(self._store, None)
        self._stop.set()
        if self._thread.ident is not None:
            self._thread.join()
        with self._turn:
            self._let_go()
        self._bury()
        with self._turn:
            for asked in self._out.values():
                if asked.future is not None:
                    asked.future.cancel()
            self._out.clear()

    @property
    def worker(self) -> int | None:
        """The number of the worker process; None while there is none."""
        with self._turn:
            return self._pipe.pid if self._pipe is not None and self._pipe.alive else None

    def work_out(self, job: str, given: object) -> "Future[Any]":
        """Have something worked out by the worker, before any plan; ``job`` as in ``worker.JOBS``."""
        future: Future[Any] = Future()
        with self._turn:
            if self._stop.is_set():
                future.cancel()
            else:
                self._send(_Asked(Ask(next(self._numbers), job, given), future=future))
        self._bury()
        return future

    def look(self) -> bool:
        """Send the problem to the worker where the log moved and then paused; gives whether it was sent."""
        self._revive()
        self._bury()
        now = self._clock()
        mark = self._mark_at(now)
        if mark != self._mark:
            self._mark, self._moved_at, self._sent = mark, now, False
        if self._sent or self._moved_at is None or now - self._moved_at < self._pause:
            return False
        self._sent = True
        return self._improve(now)

    def hear(self, answer: Answer) -> None:
        """Take over what the worker found: a plan where it is better, anything else for whoever waits."""
        self.peak_kb = max(self.peak_kb, answer.peak_kb)
        with self._turn:
            asked = self._out.get(answer.number)
            if asked is None:
                return
            if answer.done:
                del self._out[answer.number]
            elif asked.laid is not None:
                # should the worker die, the next goes on from here
                better = replace(asked.ask.given, hint=answer.result)
                asked.ask, asked.polishing = replace(asked.ask, given=better), True
        if answer.trouble:
            LOGGER.error("The worker found nothing: %s", answer.trouble)
        _settle(asked, answer)
        if asked.laid is not None and answer.result is not None:
            offer(self._store, asked.laid, answer.result, self._clock())
        if asked.laid is not None and answer.done:
            settled(self._store)

    def _mark_at(self, now: datetime) -> object:
        with self._store.reading() as session:
            at = head(session)
        known = remembered(self._store, at.database_id)
        return at, known.version if known else "", now.timestamp() // AGAIN_EVERY.total_seconds()

    def _improve(self, now: datetime) -> bool:
        try:
            planned = plan_now(self._store, gather(self._store, now))
        except NotSetUp:
            return False
        if not planned.plan.placed or planned.proven:
            return False
        given = Better(planned.laid.problem, planned.plan, self._seconds)
        asked = _Asked(Ask(next(self._numbers), "plan", given), planned.laid)
        with self._turn:
            old = [n for n, each in self._out.items() if each.laid is not None]
            busy = any(self._out.pop(n).polishing for n in old)
            self._send(asked, busy)
        self._bury()
        return True

    def _send(self, asked: _Asked, busy: bool = False) -> None:
        """Send an ask; to a new worker where the old one is ``busy`` with what hears nothing, or is dead."""
        self._out[asked.ask.number] = asked
        busy = busy or any(each.polishing for each in self._out.values())
        if busy or self._pipe is None or not self._pipe.ask(asked.ask):
            self._begin_again()

    def _begin_again(self) -> None:
        """Begin a worker in the place of the one there is, and ask it all that is out."""
        self._let_go()
        self._pipe = self._begin(self.hear)
        for asked in self._out.values():
            asked.polishing = False
            self._pipe.ask(asked.ask)

    def _let_go(self) -> None:
        if self._pipe is not None:
            self._ended.append(self._pipe)
            self._pipe = None

    def _bury(self) -> None:
        """End the workers that were let go; never in the turn, which their last answers may wait for."""
        with self._turn:
            ended, self._ended = self._ended, []
        for pipe in ended:
            pipe.end()

    def _revive(self) -> None:
        """Where the worker died, begin another, and ask it again what is still out."""
        with self._turn:
            if self._pipe is None or self._pipe.alive or not self._out:
                return
            LOGGER.warning("The worker that looks for plans ended; another is begun.")
            for asked in list(self._out.values()):
                asked.sent += 1
                if asked.sent > TRIES:
                    _give_up(self._out.pop(asked.ask.number))
            self._begin_again()

    def _run(self) -> None:
        while not self._stop.wait(LOOK_EVERY_S):
            try:
                self.look()
            except Exception:
                # the fast plan is shown meanwhile; the next look tries again
                self._sent = False
                LOGGER.exception("No better plan could be asked for this time.")


def planner_of(store: Store) -> Planner | None:
    """The planner that runs beside a store's server; None where none does."""
    return PLANNERS.get(store)


def _settle(asked: _Asked, answer: Answer) -> None:
    """Give the answer to whoever waits for it."""
    if asked.future is None or not answer.done or asked.future.cancelled():
        return
    if answer.trouble:
        asked.future.set_exception(RuntimeError(answer.trouble))
    else:
        asked.future.set_result(answer.result)


def _give_up(asked: _Asked) -> None:
    LOGGER.error("The worker ended %d times at the same problem; it is left.", TRIES)
    if asked.future is not None:
        asked.future.set_exception(RuntimeError("The worker ended each time it tried."))


PLANNERS: "WeakKeyDictionary[Store, Planner]" = WeakKeyDictionary()
