"""A seed → a database file of ten years: 10,000 jobs, 300,000 taps, 60 open jobs, a tally that agrees."""

import argparse
import hashlib
from collections import Counter
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from random import Random
from time import perf_counter
from zoneinfo import ZoneInfo

from sqlalchemy import Table, insert
from sqlalchemy.orm import Session

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Entry
from shoptrack.flows.shopfloor import gather
from shoptrack.store import snapshot, tally, worked
from shoptrack.store.base import Base
from shoptrack.store.db import Store, open_store
from shoptrack.store.log import body_of
from shoptrack.store.migrate import migrate
from shoptrack.store.tables import (
    EntryRow,
    EntryStageRow,
    JobRow,
    StageClampRow,
    StageNeedRow,
    StageRow,
    StageToolRow,
)
from tests.bench.blunt import tool_rows, use_rows
from tests.bench.plans import Order, clamp_rows, job_row, need_rows, shop_rows, stage_row
from tests.bench.years import Years
from tests.browser.shop import afternoon_zone

YEARS, JOBS, TAPS, OPEN = 10, 10_000, 300_000, 60
STATES = ("waiting", "ready", "in hand", "running", "set down", "curing", "put aside", "done")
AT_ONCE = 20_000


def live(now: datetime, seed: int, scale: float) -> Years:
    """The years up to now, in a zone in which it is early afternoon."""
    zone = afternoon_zone(now)
    first_on = (now - timedelta(days=365.25 * YEARS * scale)).astimezone(ZoneInfo(zone)).date()
    today = now.astimezone(ZoneInfo(zone)).weekday()
    years = Years(
        rng=Random(seed),
        zone=ZoneInfo(zone),
        first_on=first_on,
        until=now,
        weekdays={(today - n) % 7 for n in range(5)},  # five days a week, today among them
        jobs=round(JOBS * scale),
        taps=round(TAPS * scale),
        open_jobs=OPEN,
    )
    years.go_through()
    return years


def build(file: Path, now: datetime, seed: int = 1, scale: float = 1.0) -> Years:
    """Make the database file. ``scale`` takes fewer years, with as many jobs open."""
    url = f"sqlite:///{file}"
    migrate(url, file.parent, now)
    years = live(now, seed, scale)
    store = open_store(url, file.parent)
    try:
        with store.writing() as session:
            _write_shop(session, years)
            _write_jobs(session, years.orders)
            _write_log(session, years.entries)
        with store.writing() as session:
            _write_tally(session, years.entries, now)
    finally:
        store.close()
    return years


def _write_tally(session: Session, entries: Iterable[Entry], now: datetime) -> None:
    world = snapshot.whole_world(session)
    passes = [work for own in replay(entries, world, now).passes.values() for work in own]
    tally.rewrite(session, passes)
    worked.rewrite(session, passes, world)


def _write_shop(session: Session, years: Years) -> None:
    made_at = datetime.combine(years.first_on, datetime.min.time(), UTC) - timedelta(days=30)
    for row in (*shop_rows(years.zone.key, made_at, years.weekdays), *tool_rows(made_at)):
        session.add(row)
        session.flush()


def _write_jobs(session: Session, orders: list[Order]) -> None:
    steps = [step for order in orders for step in order.steps]
    _bulk(session, JobRow, map(job_row, orders))
    _bulk(session, StageRow, map(stage_row, steps))
    _bulk(session, StageNeedRow, (row for step in steps for row in need_rows(step)))
    _bulk(session, StageClampRow, (row for step in steps for row in clamp_rows(step)))
    _bulk(session, StageToolRow, (row for step in steps for row in use_rows(step)))


def _write_log(session: Session, entries: list[Entry]) -> None:
    _bulk(session, EntryRow, (_entry_row(n, e) for n, e in enumerate(entries, 1)))
    _bulk(
        session,
        EntryStageRow,
        (
            {"entry_n": n, "place": place, "stage_id": stage}
            for n, e in enumerate(entries, 1)
            for place, stage in enumerate(e.stages)
        ),
    )


def _entry_row(n: int, e: Entry) -> dict[str, object]:
    print_ = hashlib.sha256(e.id.encode()).hexdigest()
    row = {name: getattr(e, name) for name in ("id", "device", "seq", "at", "kind", "tapped_at", "limit_min")}
    ids = {"n": n, "person_id": e.person, "job_id": e.job, "of_id": e.of}
    return {**row, **ids, "received_at": e.tapped_at, "body": body_of(e), "body_hash": print_}


def _bulk(session: Session, what: type[Base], rows: Iterable[dict[str, object]]) -> None:
    table, left = what.__table__, iter(rows)
    assert isinstance(table, Table)
    while some := list(islice(left, AT_ONCE)):
        session.execute(insert(table), some)


def states(store: Store, now: datetime) -> Counter[str]:
    """How many stages of the open jobs stand in each state."""
    sight = gather(store, now)
    still = {job.id for job in sight.world.jobs.values() if job.closed_at is None}
    return Counter(s.state for s in sight.standings.values() if sight.world.stages[s.stage].job in still)


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.ten_years", description=__doc__)
    asked.add_argument("file", type=Path, help="the database file to make; it must not be there yet")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--scale", type=float, default=1.0, help="0.1 makes one year instead of ten")
    said = asked.parse_args()
    if said.file.exists():
        asked.error(f"{said.file} is there already")
    began, now = perf_counter(), datetime.now(UTC)  # noqa: TID251 # a command: here the clock is read
    years = build(said.file.absolute(), now, said.seed, said.scale)
    took_s = perf_counter() - began
    store = open_store(f"sqlite:///{said.file.absolute()}", said.file.absolute().parent)
    found = states(store, now)
    store.close()
    size_mb = said.file.stat().st_size / 1e6
    print(f"{len(years.orders):,} jobs, {len(years.entries):,} taps, {size_mb:.0f} MB, in {took_s:.0f} s")
    print(f"{len(years.at_work)} open jobs: " + ", ".join(f"{found[s]} {s}" for s in STATES))
    missing = [s for s in STATES if not found[s]]
    if missing:
        raise SystemExit(f"No stage is {' or '.join(missing)}: take another seed.")


if __name__ == "__main__":
    main()
