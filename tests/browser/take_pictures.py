"""The demo at a fixed moment → the two small pictures of the README (make pictures)."""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from cheroot import wsgi
from playwright.sync_api import Browser, sync_playwright

from shoptrack import demo
from shoptrack.config import load
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate
from shoptrack.web import create_app
from tests.browser.finder import INSTALL, launch

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
NOW = datetime(2026, 3, 11, 18, 40, tzinfo=UTC)  # a Wednesday afternoon in the demo's zone
SCALE = 0.6  # small pictures of large pages
LANDSCAPE = {"width": 1280, "height": 800}
PORTRAIT = {"width": 800, "height": 1280}


@contextmanager
def demo_served(instance: Path) -> Iterator[tuple[Store, str]]:
    """The demo of that moment, its clock standing still, with its address."""
    config = replace(load(instance, demo=True), port=0)
    migrate(config.database_url, config.instance, NOW)
    store = open_store(config.database_url, config.instance)
    store = demo.ensure(store, NOW) or store
    server = wsgi.Server((config.host, 0), None)
    server.prepare()
    app = create_app(store, config)
    app.config["NOW"] = lambda: NOW
    server.wsgi_app = app
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield store, f"http://{config.host}:{server.bind_addr[1]}"
    finally:
        server.stop()
        thread.join()
        store.close()


def busiest(store: Store) -> int:
    """The person whose Bench says most: one with a glue-up in hand, else with anything in hand.

    A shop in which nobody is at work makes no picture.
    """
    sight = gather(store, NOW)
    people = sight.replayed.people
    if not people:
        sys.exit("Nobody in the demo has anything in hand at that moment, so there is nothing to show.")
    gluing = [p for p, hand in people.items() if any(sight.world.stages[s].clamps for s in hand.stages)]
    return next(iter([*gluing, *people]))


def take(browser: Browser, address: str, name: str, size: dict[str, int]) -> None:
    """Take one page as a tablet shows it."""
    context = browser.new_context(
        viewport=size,  # type: ignore[arg-type] # two numbers
        timezone_id="UTC",
        device_scale_factor=SCALE,
    )
    page = context.new_page()
    page.clock.set_fixed_time(NOW)
    page.goto(address)
    page.screenshot(path=FOLDER / f"{name}.png", animations="disabled")
    context.close()


def main() -> None:
    with (
        TemporaryDirectory() as home,
        sync_playwright() as playwright,
        demo_served(Path(home)) as (store, address),
    ):
        browser = launch(playwright.chromium)
        if browser is None:
            sys.exit(f"No browser here; install one with: {INSTALL}")
        person = busiest(store)
        take(browser, f"{address}/", "floor", LANDSCAPE)
        take(browser, f"{address}/bench/{person}", "bench", PORTRAIT)
        browser.close()


if __name__ == "__main__":
    main()
