"""A thread beside the server looks now and then whether a backup is due, and makes it."""

import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from shoptrack.errors import Refused
from shoptrack.store import backup
from shoptrack.store.db import Store, head

LOOK_EVERY_S = 600.0


class Keeper:
    """Backs a store up while a server runs. ``clock`` tells the time; start it from serve only."""

    def __init__(self, store: Store, clock: Callable[[], datetime], second: Path | None = None) -> None:
        self._store = store
        self._clock = clock
        self._second = second
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="backups", daemon=True)

    def start(self) -> None:
        """Begin to look."""
        self._thread.start()

    def stop(self) -> None:
        """End, after a backup that is being made."""
        self._stop.set()
        self._thread.join()

    def look(self) -> Path | None:
        """Make a backup when one is due and give its file. A failure is noted down, not raised."""
        now = self._clock()
        good = backup.list_good(self._store.instance / "backups")
        with self._store.reading() as session:
            seen = head(session)
        if not backup.is_due(good[-1] if good else None, f"{seen.database_id} {seen.revision}", now):
            return None
        try:
            return backup.keep(self._store.path, self._store.instance, now, self._second)
        except (Refused, OSError):
            return None

    def _run(self) -> None:
        while not self._stop.is_set():
            self.look()
            self._stop.wait(LOOK_EVERY_S)
