"""The browser, the served shop and the tablets that the browser tests drive."""

import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from _pytest.terminal import TerminalReporter
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from shoptrack.store.migrate import migrate
from tests.browser import shop
from tests.browser.finder import INSTALL, launch
from tests.browser.served import Served

TABLET = {"viewport": {"width": 1280, "height": 800}, "has_touch": True, "is_mobile": True}
UPRIGHT = {"viewport": {"width": 800, "height": 1280}, "has_touch": True, "is_mobile": True}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
ran: set[str] = set()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        found = launch(playwright.chromium, "--host-resolver-rules=MAP shop.test 127.0.0.1")
        if found is None:
            words = f"no browser here; install one with: {INSTALL}"
            if os.environ.get("CI", "").lower() == "true":
                pytest.fail(words)
            pytest.skip(words)
        yield found
        found.close()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A shop of its own for each test, served by a process of its own."""
    shop.make(tmp_path, datetime.now(UTC))  # noqa: TID251 # the browser's clock is the machine's
    made = Served(tmp_path)
    made.start()
    yield made
    made.stop()


@pytest.fixture
def unset(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """A database without a shop, on a machine where it is early afternoon."""
    now = datetime.now(UTC)  # noqa: TID251 # the browser's clock is the machine's
    monkeypatch.setenv("TZ", shop.afternoon_zone(now))
    migrate(f"sqlite:///{tmp_path / 'shop.db'}", tmp_path, now)
    made = Served(tmp_path)
    made.start()
    yield made
    made.stop()


@pytest.fixture
def context_of(browser: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Makes browser contexts, each with its own storage: each is a tablet."""
    made: list[BrowserContext] = []

    def make(**settings: object) -> BrowserContext:
        made.append(browser.new_context(**{**TABLET, **settings}))  # type: ignore[arg-type]
        made[-1].set_default_timeout(15_000)
        return made[-1]

    yield make
    for context in made:
        context.close()


@pytest.fixture
def tablet(context_of: Callable[..., BrowserContext], request: pytest.FixtureRequest) -> Iterator[Page]:
    """A tablet that shows no page yet; an error of its scripts fails the test."""
    page = context_of().new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    ran.add(request.node.nodeid)
    assert errors == []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.when == "call" and "browser" in report.keywords and not report.skipped:
        ran.add(report.nodeid)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_terminal_summary(terminalreporter: TerminalReporter) -> Iterator[None]:
    """The number stands below all other lines, just above pytest's last."""
    yield
    number = len(ran)
    terminalreporter.write_line("")
    terminalreporter.write_line(f"{number} browser test{'' if number == 1 else 's'} ran")
    if not number:
        terminalreporter.write_line(f"To run them: {INSTALL}")
