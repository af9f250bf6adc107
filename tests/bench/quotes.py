"""A quote from end to end on ten years of log: fitted, reckoned, kept, read back, listed; × a bare page."""

import argparse
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from http.client import HTTPConnection
from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from sqlalchemy import func, select

from shoptrack.flows import learning
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.kept import kept_of
from shoptrack.flows.quoting.wanted import Wanted, WantedStage
from shoptrack.flows.spoilage import spoilage, spoilage_lately
from shoptrack.store import quotes
from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate
from shoptrack.store.tables import EntryRow
from tests.bench.floor import percentile
from tests.bench.pages import time_page
from tests.bench.quoted import OTHERS, STAGES, fill, wanted_of
from tests.bench.served import serving

TIMES = 20


def fit_anew(store: Store, now: datetime) -> None:
    """Everything is fitted again, as the learner does after a tap that taught something."""
    learning._LAST.pop(store, None)
    learning.learned(store, now)


def measured(store: Store, wanted: Wanted, now: datetime) -> dict[str, Callable[[], object]]:
    """What is timed, by name."""
    forms = (f"form {n}" for n in count())
    ad_hoc = Wanted("Measured", "ad hoc", stages=(WantedStage(1, 5.0),))
    first = drafts.make(store, wanted, next(forms), None, now)
    today = now.date()

    def read(what: Callable[..., object], *said: object) -> Callable[[], object]:
        def run() -> object:
            with store.reading() as session:
                return what(session, *said)

        return run

    def take() -> int:
        quote = drafts.make(store, wanted, next(forms), None, now)
        answers.put_out(store, quote, 1, None, now)
        return answers.take(store, quote, 1, None, now)

    def whole() -> None:
        fit_anew(store, now)
        take()

    learning.learned(store, now)
    learning.LOOKED_AFTER.add(store)  # as where it is served: a learner looks after it beside the pages
    return {
        "every kind fitted anew": lambda: fit_anew(store, now),
        "what was learned, unchanged": lambda: learning.learned(store, now),
        "the share of spoiled work, read": read(spoilage, now),
        "the share of spoiled work, unchanged": read(lambda session: spoilage_lately(store, session, now)),
        f"reckoned, {STAGES} stages": lambda: drafts.preview(store, wanted, "x", now),
        "reckoned, one stage": lambda: drafts.preview(store, ad_hoc, "x", now),
        "made": lambda: drafts.make(store, wanted, next(forms), None, now),
        "fitted, made, put out and taken": whole,
        "read back": read(lambda session: kept_of(quotes.quote_row(session, first).revisions[-1])),
        "listed, a hundred": read(quotes.list_quotes, today),
        "searched for": read(quotes.list_quotes, today, None, "measured nothing"),
        "counted": read(quotes.count_quotes, today),
    }


def bare_page(folder: Path) -> float:
    """Milliseconds of a bare page of the same server, p95."""
    with serving(folder) as port:
        line = HTTPConnection("127.0.0.1", port, timeout=120)
        took, _ = time_page(line, "/bare", {}, 100)
    return percentile(took, 0.95)


def time_ms(what: Callable[[], object], times: int) -> list[float]:
    """Milliseconds of each time after one that doesn't count."""
    took = []
    for _ in range(times + 1):
        began = perf_counter()
        what()
        took.append((perf_counter() - began) * 1000)
    return took[1:]


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.quotes", description=__doc__)
    asked.add_argument("file", type=Path, help="a database made by tests.bench.ten_years; it is copied")
    asked.add_argument("--times", type=int, default=TIMES)
    said = asked.parse_args()
    now = datetime.now(UTC)  # noqa: TID251 # a command: here the clock is read
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shop.db"
        shutil.copy(said.file, file)
        migrate(f"sqlite:///{file}", Path(folder), now)
        bare = bare_page(Path(folder))
        store = open_store(f"sqlite:///{file}", Path(folder))
        with store.reading() as session:
            taps = session.scalar(select(func.count()).select_from(EntryRow))
        wanted = wanted_of(store, now)
        fill(store, wanted, now)
        print(f"{taps:,} taps, {OTHERS:,} quotes; bare page {bare:.2f} ms", flush=True)
        print(f"{'':36}{'p50 ms':>9}{'p95 ms':>9}{'× bare':>9}")
        for name, what in measured(store, wanted, now).items():
            took = time_ms(what, said.times)
            p95 = percentile(took, 0.95)
            print(f"{name:36}{median(took):9.2f}{p95:9.2f}{p95 / bare:9.1f}", flush=True)
        store.close()


if __name__ == "__main__":
    main()
