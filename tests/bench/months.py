"""Months and search on ten years of log: times, and each month's figures against those of the whole log."""

import argparse
import sys
from datetime import UTC, date, datetime, time, timedelta
from math import fsum
from pathlib import Path
from time import perf_counter

from sqlalchemy.orm import Session

from shoptrack.engine.hours import instant, local
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Calendar
from shoptrack.flows.month_figures import next_month, work_figures
from shoptrack.flows.search import search
from shoptrack.flows.work_done import Work, work_done
from shoptrack.store.db import open_store
from shoptrack.store.log import whole_log
from shoptrack.store.shop import shop_row
from shoptrack.store.snapshot import whole_world

ASKED = ("oil", "table ash", "no such word")


def months_back(now: date, count: int) -> list[date]:
    """This month and those before it, the oldest first."""
    found = [now.replace(day=1)]
    while len(found) < count:
        found.append((found[-1] - timedelta(days=1)).replace(day=1))
    return found[::-1]


def whole_work(session: Session, now: datetime) -> tuple[Work, ...]:
    """All work there ever was, by the whole log."""
    entries, world = whole_log(session), whole_world(session)
    return work_done(replay(entries, world, now), entries, world, world.jobs)


def differing(session: Session, calendar: Calendar, now: datetime, count: int) -> int:
    """Print each month's minutes by its window and by the whole log; how many differ."""
    works, wrong = whole_work(session, now), 0
    for first_on in months_back(local(calendar, now).date(), count):
        began = perf_counter()
        found = work_figures(session, calendar, first_on, now)
        took_ms = (perf_counter() - began) * 1000
        start = instant(calendar, first_on, time(0))
        end = min(instant(calendar, next_month(first_on), time(0)), now)
        parts = (w.within(start, end) for w in works)
        whole = fsum(part.minutes for part in parts if part is not None)
        said = next(f.value for f in found if f.key == "job_min_all")
        wrong += abs(said - whole) > 0.51
        print(f"{first_on:%Y-%m}  {said:8d} min  whole log {whole:10.1f}  {took_ms:6.0f} ms")
    return wrong


def main() -> None:
    """Read the file, print, and end with 1 where a month differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--months", type=int, default=6, help="how many months back")
    asked = parser.parse_args()
    now = datetime.fromtimestamp(asked.file.stat().st_mtime, UTC)
    store = open_store(f"sqlite:///{asked.file}", asked.file.parent)
    with store.reading() as session:
        for words in ASKED:
            began = perf_counter()
            finds = search(session, words, office=True)
            print(
                f"search “{words}”: {sum(g.total for g in finds)} in {(perf_counter() - began) * 1000:.0f} ms"
            )
        wrong = differing(session, Calendar(shop_row(session).zone, ()), now, asked.months)
    store.close()
    print(f"{wrong} of {asked.months} months differ")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
