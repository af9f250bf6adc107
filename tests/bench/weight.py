"""What Floor and Bench weigh, how many requests they take, and the first paint on a slow tablet."""

import argparse
import gzip
import shutil
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

from playwright.sync_api import Browser, sync_playwright

from tests.bench.served import serving
from tests.browser.finder import INSTALL, launch

PAGES = {"bare page": "/bare", "Floor": "/", "Bench, names": "/bench", "Bench, one person": "/bench/1"}
TABLET = {"width": 1280, "height": 800}
SLOWER = 4

PAINT = """() => performance.getEntriesByType('paint')
  .filter((p) => p.name === 'first-contentful-paint').map((p) => p.startTime)[0] ?? null"""
LOADED = "() => performance.getEntriesByType('navigation')[0].loadEventEnd"


@dataclass(frozen=True)
class Seen:
    """One load of a page: when it was painted first, when loaded, and what it asked the server for."""

    paint_ms: float
    load_ms: float
    asked: tuple[str, ...]


def see(browser: Browser, address: str, slower: int, again: bool) -> Seen:
    """Open a page as a tablet does that was never here before; ``again`` looks at its second visit."""
    context = browser.new_context(viewport=TABLET, has_touch=True, is_mobile=True)  # type: ignore[arg-type]
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
    if again:
        page.goto(address, wait_until="load")
    asked: list[str] = []
    page.on("requestfinished", lambda request: asked.append(request.url))
    page.goto(address, wait_until="load")
    page.wait_for_function(PAINT, polling=20)
    found = Seen(page.evaluate(PAINT), page.evaluate(LOADED), tuple(asked))
    context.close()
    return found


@dataclass(frozen=True)
class Weight:
    """Bytes of one kind of file: as it is, as it was sent, and as gzip would make it."""

    raw: int
    sent: int
    gzipped: int


def weigh(port: int, path: str) -> tuple[str, Weight]:
    """The kind of a file and its bytes."""
    line = HTTPConnection("127.0.0.1", port, timeout=60)
    line.request("GET", path, headers={"Accept-Encoding": "gzip"})
    response = line.getresponse()
    sent = response.read()
    line.close()
    raw = gzip.decompress(sent) if response.headers.get("Content-Encoding") == "gzip" else sent
    kind = response.headers.get_content_subtype().replace("javascript", "js")
    return kind, Weight(len(raw), len(sent), len(gzip.compress(raw, 6)))


def show_weight(name: str, port: int, asked: tuple[str, ...]) -> None:
    """Print what a page weighs by kind of file."""
    by: dict[str, list[Weight]] = {}
    for address in asked:
        parts = urlsplit(address)
        kind, weight = weigh(port, parts.path + (f"?{parts.query}" if parts.query else ""))
        by.setdefault(kind, []).append(weight)
    print(f"{name}: {len(asked)} requests")
    every = [w for weights in by.values() for w in weights]
    for kind, weights in [*sorted(by.items()), ("all", every)]:
        raw, sent, gzipped = (sum(getattr(w, n) for w in weights) for n in ("raw", "sent", "gzipped"))
        print(f"  {kind:8}{len(weights):3} files {raw:9,} bytes, sent {sent:9,}, by gzip {gzipped:9,}")


def measure(browser: Browser, port: int, times: int) -> None:
    """Look at every page and print what was seen, the paint beside that of a bare page."""
    bare_ms = 0.0
    for name, path in PAGES.items():
        address = f"http://127.0.0.1:{port}{path}"
        first = [see(browser, address, SLOWER, again=False) for _ in range(times)]
        second = [see(browser, address, SLOWER, again=True) for _ in range(times)]
        fast = [see(browser, address, 1, again=False) for _ in range(times)]
        paint_ms, again_ms = median(s.paint_ms for s in first), median(s.paint_ms for s in second)
        bare_ms = bare_ms or paint_ms
        show_weight(name, port, first[0].asked)
        print(
            f"  first paint {paint_ms:.0f} ms at {SLOWER}× CPU throttle ({paint_ms / bare_ms:.1f} × bare), "
            f"loaded {median(s.load_ms for s in first):.0f} ms; again {again_ms:.0f} ms; "
            f"unthrottled {median(s.paint_ms for s in fast):.0f} ms"
        )


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.weight", description=__doc__)
    asked.add_argument("file", type=Path, help="a database made by tests.bench.ten_years; it is copied")
    asked.add_argument("--times", type=int, default=5)
    said = asked.parse_args()
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = launch(playwright.chromium)
        if browser is None:
            asked.exit(1, f"There is no browser here: {INSTALL}\n")
        shutil.copy(said.file, Path(folder) / "shop.db")
        with serving(Path(folder)) as port:
            measure(browser, port, said.times)
        browser.close()


if __name__ == "__main__":
    main()
