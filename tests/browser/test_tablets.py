"""Pairing, the move to https and the Bench without a network, as a tablet goes through them."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from shoptrack.store import devices
from shoptrack.store.db import open_store
from tests.browser import shop
from tests.browser.finder import launch
from tests.browser.hands import all_sent, main_button, open_bench, press, start, wait_for_kinds
from tests.browser.served import Served, wait_for
from tests.browser.test_outbox import keep, notes

AT_THE_DOOR = re.compile(r"/office\?back=%2Fshop$")
FILES = ("/static/css/base.css", "/static/css/bench.css", "/static/js/bench.js", "/static/js/outbox.js")
CODES = {"bench": "BENCHCODE", "wall": "WALLCODE", "office": "OFFICECODE"}


def offer(folder: Path) -> None:
    """Codes as the office's page makes them, while no server has the database."""
    now = datetime.now(UTC)  # noqa: TID251 # the server's clock is the machine's
    store = open_store(f"sqlite:///{folder / 'shop.db'}", folder)
    with store.writing() as session:
        for kind, code in CODES.items():
            devices.offer(session, code, kind, kind, now)
    store.close()


@pytest.fixture
def lan(tmp_path: Path) -> Iterator[Served]:
    """A shop that is served to its network."""
    shop.make(tmp_path, datetime.now(UTC))  # noqa: TID251 # the browser's clock is the machine's
    offer(tmp_path)
    made = Served(tmp_path, ways=("lan",))
    made.start()
    yield made
    made.stop()


@pytest.fixture
def trusting(browser: Browser) -> Iterator[Browser]:
    """A browser that takes any certificate, as one does that trusts the shop's."""
    mapped = "--host-resolver-rules=MAP shop.test 127.0.0.1"
    found = launch(browser.browser_type, "--ignore-certificate-errors", mapped)
    assert found is not None
    yield found
    found.close()


def test_a_scanned_code_pairs_and_leaves_no_trace(lan: Served, tablet: Page) -> None:
    """What a camera opens is enough; the code stands in no address and in nothing that the server wrote."""
    tablet.goto(f"{lan.lan_address}/bench")
    expect(tablet.locator("h1")).to_have_text("Not paired")
    tablet.goto(f"{lan.lan_address}/pair#{CODES['bench']}")
    tablet.wait_for_url(f"{lan.lan_address}/bench")
    expect(tablet.locator("html[data-script=on]")).to_have_count(1)
    tablet.go_back()
    assert CODES["bench"] not in tablet.url
    assert CODES["bench"] not in (lan.instance / "serve.log").read_text()
    (cookie,) = [c for c in tablet.context.cookies() if c["name"] == "device"]
    assert (cookie["httpOnly"], cookie["sameSite"]) == (True, "Lax")
    assert cookie["value"] not in tablet.evaluate("document.cookie")


def test_a_code_is_typed_without_scripts(lan: Served, context_of: Callable[..., BrowserContext]) -> None:
    page = context_of(java_script_enabled=False).new_page()
    page.goto(f"{lan.lan_address}/pair")
    page.get_by_label("The code").fill("wall code")
    page.get_by_role("button", name="Pair").click()
    page.wait_for_url(f"{lan.lan_address}/")
    page.goto(f"{lan.lan_address}/bench")
    expect(page.locator("main")).to_contain_text("paired to show the Floor")


def test_a_tablet_sent_away_keeps_its_taps_and_says_so(lan: Served, tablet: Page) -> None:
    """Its outbox stands still with the reason; paired again, it sends."""
    tablet.goto(f"{lan.lan_address}/pair#{CODES['bench']}")
    open_bench(tablet, lan, lan=True)
    lan.stop()
    lan.change("UPDATE devices SET revoked_at = '2026-01-01 00:00:00'")
    keep(tablet, 1, 2)
    lan.start()
    expect(tablet.locator("#unsent")).to_contain_text(
        "saved, not sent: 2 – This device is not paired", timeout=30_000
    )
    tablet.goto(f"{lan.lan_address}/pair#{CODES['office']}")
    tablet.wait_for_url(AT_THE_DOOR)
    tablet.goto(f"{lan.lan_address}/bench")
    all_sent(tablet)
    assert notes(lan) == [1, 2]


def test_moving_to_https_first_empties_the_tablet(lan: Served, trusting: Browser) -> None:
    """Two taps are unsent when the shop comes back by https: the old page sends them, then shows the way."""
    page = trusting.new_context().new_page()
    page.goto(f"{lan.lan_address}/pair#{CODES['bench']}")
    open_bench(page, lan, lan=True)
    lan.stop()
    keep(page, 1, 2)
    lan.change("UPDATE devices SET revoked_at = '2026-01-01 00:00:00'")
    lan.ways = ("lan", "https")
    lan.start()
    page.goto(f"{lan.lan_address}/bench")
    expect(page.locator("h1")).to_have_text("The shop has moved to https")
    expect(page.locator("#unsent")).to_contain_text("2 taps are saved on this tablet and not sent yet.")
    expect(page.locator("#way")).to_be_hidden()
    lan.stop()
    lan.change("UPDATE devices SET revoked_at = NULL")
    lan.start()
    expect(page.locator("#unsent")).to_have_text("All taps of this tablet are sent.", timeout=30_000)
    assert notes(lan) == [1, 2]
    page.get_by_role("link", name="go to https://").click()
    page.wait_for_url(f"https://shop.test:{lan.port + 1}/pair")
    page.get_by_label("The code").fill(CODES["office"])
    page.get_by_role("button", name="Pair").click()
    page.wait_for_url(AT_THE_DOOR)
    (cookie,) = [c for c in page.context.cookies() if c["name"] == "__Host-device"]
    assert cookie["secure"] is True
    page.context.close()


def kept(page: Page) -> set[str]:
    """The addresses that the worker could show without a network."""
    found = page.evaluate("async () => (await (await caches.open('bench')).keys()).map((k) => k.url)")
    return {urlsplit(address).path for address in found}


def files_of(page: Page) -> set[str]:
    """The files that the page has loaded, those that its scripts import too."""
    found = page.evaluate("performance.getEntriesByType('resource').map((seen) => seen.name)")
    return {path for path in (urlsplit(address).path for address in found) if path.startswith("/static/")}


def test_by_https_the_bench_opens_without_a_network(lan: Served, trusting: Browser) -> None:
    """A tablet is switched off and on while the server is away; a tap is made, and sent when it is back.

    The worker comes late, as on a slow tablet: when every page was asked for already, and past it.
    """
    lan.stop()
    lan.ways = ("https",)
    lan.start()
    context = trusting.new_context()
    page = context.new_page()
    held: list[Route] = []
    page.route("**/offline.js", lambda route: held.append(route))
    with page.expect_response("**/bench/1"):
        page.goto(f"{lan.safe_address}/bench/2")
    wait_for("the worker's way in is asked for", lambda: page.evaluate("1") and held)
    held[0].continue_()
    wanted = {"/bench", "/bench/1", "/bench/2", *FILES}
    wait_for("the worker keeps the Bench and all its files", lambda: kept(page) >= wanted | files_of(page))
    lan.kill()
    page.reload()
    expect(page.locator("html[data-script=on]")).to_have_count(1)
    start(page, "B4")
    expect(page.locator("#unsent")).to_contain_text("saved, not sent: 1")
    page.reload()
    expect(page.locator("#hand h1")).to_contain_text("B4")
    press(main_button(page, "Ben: done"))
    lan.start()
    all_sent(page)
    wait_for_kinds(lan, ["start", "finish"])
    context.close()
