"""Rows a second of past times looked through and brought in, beside a loop that only reads and inserts."""

import argparse
import csv
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

from shoptrack.flows import bring_in
from shoptrack.flows.bring_in import SUBJECTS, bring, hand_in, look, to_the_end
from shoptrack.store.db import Store
from tests.joinery import NOW, kept

TIMES = SUBJECTS["past-times"]
KINDS = (("milling", "boards"), ("glue-up", "joints"), ("carving", "pieces"), ("finishing", "coats"))


def write_file(file: Path, rows: int, seed: int) -> None:
    """An invented file of past times."""
    rng = Random(seed)
    with open(file, "w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow([column.name for column in TIMES.columns])
        for n in range(rows):
            kind, unit = KINDS[n % len(KINDS)]
            on = date(2023, 1, 2) + timedelta(days=n // 50)
            measure, minutes = rng.randint(1, 40), round(rng.uniform(5, 300), 1)
            writer.writerow(
                [on, f"job {n // 7}", "tray", f"stage {n % 7}", kind, measure, unit, minutes, "Una"]
            )


def raw_loop(file: Path, database: Path) -> None:
    """Nothing but csv and sqlite3: no check, no key worth the name."""
    with closing(sqlite3.connect(database)) as raw, open(file, encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(lines)
        with raw:
            raw.executemany(
                "INSERT INTO past_times (finished_on, job, pattern, stage, kind_id, quantity, minutes, "
                "person, imported_at, row_key) VALUES (:finished_on, :job, :pattern, :stage, 1, :measure, "
                ":minutes, :person, '2026-11-25 18:24:00.000000', :n)",
                ({**row, "n": n} for n, row in enumerate(rows)),
            )


def timed(do: Callable[[], object]) -> float:
    began = perf_counter()
    do()
    return perf_counter() - began


def bring_all(store: Store, sign: str) -> None:
    work = bring(store, TIMES, sign, 0, None, NOW)
    for _ in work:
        pass


def measure(rows: int, seed: int) -> tuple[float, float, float, float]:
    """Seconds of the raw loop, the look, the bringing in, and of the same file brought in again."""
    with TemporaryDirectory() as home:
        folder = Path(home)
        file = folder / "times.csv"
        write_file(file, rows, seed)
        (folder / "raw").mkdir()
        (folder / "ours").mkdir()
        kept("shop").put(folder / "raw").close()
        raw_s = timed(lambda: raw_loop(file, folder / "raw" / "shop.db"))
        store = kept("shop").put(folder / "ours")
        sign = hand_in(store.instance, TIMES, file.read_bytes(), NOW)
        look_s = timed(lambda: to_the_end(look(store, TIMES, sign, NOW)))
        bring_s = timed(lambda: bring_all(store, sign))
        bring_in.kept.keep(store.instance, file.read_bytes(), NOW)
        again_s = timed(lambda: bring_all(store, sign))
        store.close()
    return raw_s, look_s, bring_s, again_s


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.bring_in", description=__doc__)
    parser.add_argument("--rows", type=int, nargs="+", default=[10_000, 50_000])
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    kept("shop")
    for rows in asked.rows:
        raw_s, *ours = measure(rows, asked.seed)
        print(f"{rows:,} rows: csv and sqlite3 alone {rows / raw_s:,.0f} rows/s ({raw_s:.2f} s)")
        for name, took_s in zip(("looked through", "brought in", "brought in again"), ours, strict=True):
            times = f"{took_s / raw_s:.1f} × the raw loop"
            print(f"  {name:17}{rows / took_s:10,.0f} rows/s ({took_s:.2f} s), {times}")


if __name__ == "__main__":
    main()
