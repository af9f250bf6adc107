"""A thread beside the server keeps what was learned fresh, so that no page and no tap waits for it."""

import gc
import logging
import threading
from collections.abc import Callable
from datetime import datetime

from shoptrack.flows.foretold import settle
from shoptrack.flows.learning import LOOKED_AFTER, learn
from shoptrack.flows.spoilage import learn_spoilage
from shoptrack.store.db import Store

LOOK_EVERY_S = 15.0
PAUSE_S = 1.0
AT_ONCE = 1000
"""Of a long history so many passes are settled before it pauses: taps come first."""

LOGGER = logging.getLogger("shoptrack.learned")


class Learner:
    """Learns while a server runs. ``clock`` tells the time; start it from serve only."""

    def __init__(self, store: Store, clock: Callable[[], datetime], pause_s: float = PAUSE_S) -> None:
        self._store = store
        self._clock = clock
        self._pause_s = pause_s
        self._frozen = False
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="learner", daemon=True)

    def start(self) -> None:
        """Begin to look."""
        LOOKED_AFTER.add(self._store)
        self._thread.start()

    def stop(self) -> None:
        """End, after what is being settled."""
        self._stop.set()
        self._thread.join()
        LOOKED_AFTER.discard(self._store)

    def look(self) -> int:
        """Learn from what is new, then keep what was foretold of passes begun; gives how many."""
        self._learn()
        if not self._frozen:
            # ten years of times are half a million things that stay: no collection needs to look through them
            gc.freeze()
            self._frozen = True
        settled = some = settle(self._store, self._clock(), AT_ONCE)
        while some == AT_ONCE and not self._stop.wait(self._pause_s):
            some = settle(self._store, self._clock(), AT_ONCE)
            settled += some
        if settled:
            self._learn()
        return settled

    def _learn(self) -> None:
        with self._store.reading() as session:
            learn(self._store, session, self._clock())
            learn_spoilage(self._store, session, self._clock())

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                self.look()
            except Exception:
                # a page that needs it will learn by itself; the next look tries again
                LOGGER.exception("Nothing could be learned this time.")
            self._stop.wait(LOOK_EVERY_S)
