"""Every page there is, on ten years of log: p50 and p95 against a bare page, bytes plain and as sent."""

import argparse
import shutil
from datetime import UTC, datetime
from http.client import HTTPConnection
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from shoptrack.config import Config
from shoptrack.store.db import open_store
from shoptrack.store.migrate import migrate
from shoptrack.web import create_app
from tests.bench.floor import percentile
from tests.bench.quoted import fill, one_that_was_made, wanted_of
from tests.bench.served import serving
from tests.crawled import crawl

TIMES = 30
HEADERS = {"Accept-Encoding": "gzip"}


def quote(folder: Path, now: datetime) -> None:
    """Give the shop ten years of quotes, so that their pages have something to show."""
    url = f"sqlite:///{folder / 'shop.db'}"
    migrate(url, folder, now)
    store = open_store(url, folder)
    wanted = wanted_of(store, now)
    fill(store, wanted, now)
    one_that_was_made(store, wanted, now)
    store.close()


def addresses(folder: Path) -> dict[str, str]:
    """A page of each kind, found by links from the first ones."""
    url = f"sqlite:///{folder / 'shop.db'}"
    store = open_store(url, folder)
    app = create_app(store, Config(instance=folder, database_url=url))
    client = app.test_client()
    client.post("/office", data={"person": "1"}, headers={"Origin": "http://localhost"})
    adapter = app.url_map.bind("localhost")
    found = {adapter.match(page.partition("?")[0])[0]: page for page, _ in crawl(client, each=1)}
    store.close()
    return found


def enter(line: HTTPConnection, port: int) -> str:
    """Tap a name at the office's door; the cookie that keeps it open."""
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://127.0.0.1:{port}"}
    line.request("POST", "/office", "person=1&back=/", form)
    answer = line.getresponse()
    answer.read()
    return (answer.headers.get("Set-Cookie") or "").partition(";")[0]


def time_page(
    line: HTTPConnection, path: str, headers: dict[str, str], times: int
) -> tuple[list[float], int]:
    """Milliseconds of each visit after two that don't count, and the bytes of the last."""
    took = []
    for _ in range(times + 2):
        began = perf_counter()
        line.request("GET", path, headers=headers)
        sent = len(line.getresponse().read())
        took.append((perf_counter() - began) * 1000)
    return took[2:], sent


def measure(port: int, pages: dict[str, str], times: int) -> None:
    """Visit every page, and print it beside the bare page."""
    line = HTTPConnection("127.0.0.1", port, timeout=120)
    cookie = {"Cookie": enter(line, port)}
    bare, _ = time_page(line, "/bare", {}, times)
    bare_95 = percentile(bare, 0.95)
    print(f"{'':36}{'p50 ms':>8}{'p95 ms':>8}{'× bare':>8}{'bytes':>10}{'sent':>9}")
    print(f"{'bare page':36}{median(bare):8.2f}{bare_95:8.2f}")
    for name, path in sorted(pages.items()):
        took, sent = time_page(line, path, HEADERS | cookie, times)
        _, raw = time_page(line, path, cookie, 0)
        p95 = percentile(took, 0.95)
        print(f"{name:36}{median(took):8.2f}{p95:8.2f}{p95 / bare_95:8.1f}{raw:10,}{sent:9,}  {path}")


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.pages", description=__doc__)
    asked.add_argument("file", type=Path, help="a database made by tests.bench.ten_years; it is copied")
    asked.add_argument("--times", type=int, default=TIMES)
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        shutil.copy(said.file, Path(folder) / "shop.db")
        quote(Path(folder), datetime.now(UTC))  # noqa: TID251 # a command: here the clock is read
        pages = addresses(Path(folder))
        with serving(Path(folder)) as port:
            measure(port, pages, said.times)


if __name__ == "__main__":
    main()
