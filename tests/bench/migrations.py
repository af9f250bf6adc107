"""A migration killed before each of its statements and at random instants: old tables or new, never half."""

import argparse
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter, sleep

from shoptrack.store import migrate
from shoptrack.store.db import open_store
from tests.store.test_migrate import ROOT, make_old, shape_of

NOW = datetime(2026, 3, 2, tzinfo=UTC)
NEVER = 100_000


def run_killed(folder: Path, statement: int, after_s: float | None) -> float:
    """Migrate an old database in another process, killed at a statement or after a time; gives seconds."""
    make_old(folder / "shop.db")
    address = f"sqlite:///{folder / 'shop.db'}"
    began = perf_counter()
    run = subprocess.Popen(
        [sys.executable, "-m", "tests.store.dying", "migrate", address, str(statement)],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    if after_s is not None:
        sleep(after_s)
        run.send_signal(signal.SIGKILL)
    run.wait(60)
    return perf_counter() - began


def outcome(folder: Path, old: object, new: object) -> str:
    """Whether the tables are the old or the new ones; then migrate again, which must work."""
    address = f"sqlite:///{folder / 'shop.db'}"
    shape = shape_of(folder / "shop.db")
    found = "old" if shape == old else "new" if shape == new else "half"
    migrate.migrate(address, folder, NOW)
    open_store(address, folder).close()
    return found if shape_of(folder / "shop.db") == new else "half"


def shapes() -> tuple[object, object, float]:
    """The old tables, the new ones, and how long a migration takes that nobody kills."""
    with TemporaryDirectory() as home:
        make_old(Path(home) / "shop.db")
        old = shape_of(Path(home) / "shop.db")
    with TemporaryDirectory() as home:
        took_s = run_killed(Path(home), NEVER, None)
        return old, shape_of(Path(home) / "shop.db"), took_s


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--statements", type=int, default=60, help="kill before each of the first so many")
    parser.add_argument("--random", type=int, default=20, help="and so often at a random instant")
    parser.add_argument("--seed", type=int, default=1)
    said = parser.parse_args()
    old, new, took_s = shapes()
    rng = Random(said.seed)
    kills: list[tuple[int, float | None]] = [(n, None) for n in range(1, said.statements + 1)]
    kills += [(NEVER, rng.uniform(0.2, 1.0) * took_s) for _ in range(said.random)]
    counts = {"old": 0, "new": 0, "half": 0}
    for statement, after_s in kills:
        with TemporaryDirectory() as home:
            run_killed(Path(home), statement, after_s)
            counts[outcome(Path(home), old, new)] += 1
    print(f"{len(kills)} kills: {counts['old']} old, {counts['new']} new, {counts['half']} half")
    sys.exit(counts["half"] > 0)


if __name__ == "__main__":
    main()
