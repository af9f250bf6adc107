"""Programs that die by SIGKILL in the middle of a write, to be run in a process of their own."""

import os
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event, insert

from shoptrack.store.db import open_store
from shoptrack.store.migrate import migrate
from shoptrack.store.tables import MaterialRow


def die_at_statement(number: int) -> None:
    """Be killed just before the statement of this number, counted over all engines."""
    seen = 0

    @event.listens_for(Engine, "before_cursor_execute")
    def count(*_: Any) -> None:
        nonlocal seen
        seen += 1
        if seen == number:
            os.kill(os.getpid(), signal.SIGKILL)


def migrate_and_die(url: str, number: str) -> None:
    """Migrate, killed at a statement."""
    die_at_statement(int(number))
    migrate(url, Path(url.removeprefix("sqlite:///")).parent, datetime(2026, 3, 2, tzinfo=UTC))


def write_and_die(url: str, number: str) -> None:
    """Write material after material, saying the name of each once it is committed, killed at a statement."""
    store = open_store(url, Path(url.removeprefix("sqlite:///")).parent)
    die_at_statement(int(number))
    for n in range(10_000):
        with store.writing() as session:
            session.execute(insert(MaterialRow).values(name=f"wood {number} {n}"))
        print(f"wood {number} {n}", flush=True)


if __name__ == "__main__":
    {"migrate": migrate_and_die, "write": write_and_die}[sys.argv[1]](sys.argv[2], sys.argv[3])
