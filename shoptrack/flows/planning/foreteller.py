"""A thread beside the server keeps what is foretold for the plan shown: hints, chances, edges due."""

import logging
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError
from datetime import date, datetime, timedelta

from shoptrack.errors import NotSetUp
from shoptrack.flows.learning import remembered
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.planner import Planner
from shoptrack.flows.planning.reckoned import by_worker, refresh_outlooks
from shoptrack.flows.planning.worthwhile import hints_of, keep_hints, tries_of
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.dues import refresh_dues
from shoptrack.store.db import Store, head

LOOK_EVERY_S = 1.0
PAUSE = timedelta(seconds=3)
"""The plan is asked for after two seconds without a tap; what hangs on it a little later."""

LOGGER = logging.getLogger("shoptrack.planned")


class Foreteller:
    """Has the futures run while a server does, by the planner's worker. Start it from serve only."""

    def __init__(self, store: Store, clock: Callable[[], datetime], planner: Planner) -> None:
        self._store, self._clock, self._planner = store, clock, planner
        self._mark: object = None
        self._moved_at = clock()
        self._told: tuple[int, date] | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="foreteller", daemon=True)

    def start(self) -> None:
        """Begin to look."""
        self._thread.start()

    def stop(self) -> None:
        """End; the planner has to be stopped before, so that nothing is waited for."""
        self._stop.set()
        if self._thread.ident is not None:
            self._thread.join()

    def look(self) -> bool:
        """Reckon for the plan that is shown, once the taps pause; gives whether there was anything new."""
        now = self._clock()
        with self._store.reading() as session:
            at = head(session)
        known = remembered(self._store, at.database_id)
        mark = at, known.version if known else ""
        if mark != self._mark:
            self._mark, self._moved_at = mark, now
        if now - self._moved_at < PAUSE:
            return False
        try:
            sight = gather(self._store, now)
        except NotSetUp:
            return False
        planned = plan_now(self._store, sight)
        told = planned.number, planned.laid.line.today
        if told == self._told:
            return False
        self._told = told
        refresh_dues(self._store, sight, planned)
        found = self._planner.work_out("worthwhile", tries_of(sight, planned)).result()
        keep_hints(self._store, hints_of(sight, planned, found))
        refresh_outlooks(self._store, now, lambda ahead: by_worker(self._planner, ahead))
        return True

    def _run(self) -> None:
        while not self._stop.wait(LOOK_EVERY_S):
            try:
                self.look()
            except CancelledError:
                return  # the planner has stopped
            except Exception:
                # pages say what was found before; the next change is tried again
                LOGGER.exception("What may come of the plan could not be reckoned this time.")
