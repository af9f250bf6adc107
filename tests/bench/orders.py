"""Replay of a large invented log in random orders with repeats: the same state each time, and how fast."""

import argparse
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Entry, Replayed, World
from shoptrack.engine.states import stand
from shoptrack.store import log, snapshot
from shoptrack.store.db import reading_only
from tests.bench.ten_years import build


def shuffled(entries: list[Entry], rng: Random) -> list[Entry]:
    """The same entries in another order, some of them twice or three times."""
    again = [e for e in entries for _ in range(rng.choice((1, 1, 1, 2, 3)))]
    rng.shuffle(again)
    return again


def differing(state: Replayed, other: Replayed) -> list[str]:
    """The names of what is not the same in two states."""
    names = Replayed.__dataclass_fields__
    return [name for name in names if getattr(state, name) != getattr(other, name)]


def compare(entries: list[Entry], world: World, now: datetime, times: int, rng: Random) -> int:
    """Replay in so many orders; print each that differs, and give how many did."""
    straight = replay(entries, world, now)
    standings = stand(straight, world)
    wrong = 0
    for n in range(times):
        state = replay(shuffled(entries, rng), world, now)
        found = differing(straight, state)
        found += [] if found or stand(state, world) == standings else ["standings"]
        wrong += bool(found)
        if found:
            print(f"order {n + 1}: not the same: {', '.join(found)}")
    return wrong


def speed(entries: list[Entry], world: World, now: datetime) -> float:
    """Entries replayed a second, the best of three."""
    best_s = float("inf")
    for _ in range(3):
        began = perf_counter()
        replay(entries, world, now)
        best_s = min(best_s, perf_counter() - began)
    return len(entries) / best_s


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.orders", description=__doc__)
    asked.add_argument("--times", type=int, default=40)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--scale", type=float, default=0.05, help="1 is ten years, 300,000 entries")
    said = asked.parse_args()
    now = datetime.now(UTC)  # noqa: TID251 # a command: here the clock is read
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shop.db"
        build(file, now, said.seed, said.scale)
        with reading_only(file) as session:
            entries, world = log.whole_log(session), snapshot.whole_world(session)
    wrong = compare(entries, world, now, said.times, Random(said.seed))
    print(f"{len(entries):,} entries in {said.times} random orders with repeats: {wrong} differ")
    print(f"replay: {speed(entries, world, now):,.0f} entries/s")
    raise SystemExit(1 if wrong else 0)


if __name__ == "__main__":
    main()
