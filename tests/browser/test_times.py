"""The charts of the Times in a browser: drawn under our policy, touched, saved as pictures, done without."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, expect

from shoptrack.store.db import open_store
from shoptrack.store.past_times import PastTime, add_past_times
from tests.browser import shop
from tests.browser.conftest import PHONE, TABLET
from tests.browser.served import Served

PAGES = {f"/times/{shop.GLUE_UP}": 2, "/times/jobs?over=all": 1, "/times/record": 1}
"""The pages with charts, and how many are on each."""


@pytest.fixture
def times(tmp_path: Path) -> Iterator[Served]:
    """The small shop with ninety glue-ups from before the log, a few days apart, on every weekday."""
    now = datetime.now(UTC)  # noqa: TID251 # the browser's clock is the machine's
    shop.make(tmp_path, now)
    store = open_store(f"sqlite:///{tmp_path / 'shop.db'}", tmp_path)
    with store.writing() as session:
        add_past_times(session, [_past(now, n) for n in range(90)], now)
    store.close()
    made = Served(tmp_path)
    made.start()
    yield made
    made.stop()


def _past(now: datetime, n: int) -> PastTime:
    return PastTime(
        finished_on=(now - timedelta(days=400 - 4 * n)).date(),
        job=f"old panel {n}",
        pattern="",
        pattern_id=None,
        stage="glue up <the> “panel”",
        kind_id=shop.GLUE_UP,
        quantity=3 + n % 4,
        minutes=(30 + 5 * (n % 4)) * (0.8 + n % 7 / 12),
        person="Wim",
        person_id=None,
        row_key=str(n),
    )


def drawn(page: Page, number: int) -> None:
    """Wait until so many charts are drawn."""
    expect(page.locator("[data-drawn=yes]")).to_have_count(number)


def test_charts_are_drawn_and_nothing_breaks_the_policy(
    times: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """On a tablet and a phone, in light and dark: all charts, no refusal, warning or error on the console,
    and not a word from the drawing program itself."""
    said: list[str] = []

    def listen(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning", "trace"):
            said.append(message.text)

    for size, scheme in ((TABLET, "light"), (PHONE, "dark")):
        page = context_of(**size, color_scheme=scheme).new_page()
        page.on("console", listen)
        page.on("pageerror", lambda error: said.append(str(error)))
        for path, number in PAGES.items():
            page.goto(times.address + path)
            drawn(page, number)
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
            assert page.locator(".modebar, .plotlyjsicon, a[href*=plotly]").count() == 0
    assert said == []


def test_a_touched_point_says_its_numbers(times: Served, context_of: Callable[..., BrowserContext]) -> None:
    page = context_of(has_touch=False, is_mobile=False).new_page()
    page.goto(f"{times.address}/times/{shop.GLUE_UP}")
    drawn(page, 2)
    page.locator("[data-chart]").first.scroll_into_view_if_needed()
    box = page.locator("[data-chart] .points path").nth(3).bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator(".hoverlayer text").first).to_contain_text("logged")
    colour = page.evaluate("getComputedStyle(document.querySelector('[data-chart] .lines path')).stroke")
    ink = page.evaluate("getComputedStyle(document.body).color")
    assert colour == ink


def test_a_chart_is_saved_as_a_picture(
    times: Served, tablet: Page, tmp_path: Path, context_of: Callable[..., BrowserContext]
) -> None:
    """A PNG that another program opens: of the size that was asked, with paper at its edge and ink within."""
    tablet.goto(f"{times.address}/times/{shop.GLUE_UP}")
    drawn(tablet, 2)
    with tablet.expect_download() as given:
        tablet.get_by_role("button", name="Save this as a picture").first.tap()
    assert given.value.suggested_filename == "glue-up by month.png"
    given.value.save_as(tmp_path / "saved.png")
    with Image.open(tmp_path / "saved.png") as picture:
        assert (picture.format, picture.size) == ("PNG", (2400, 1400))
        edge = picture.convert("RGB").getpixel((3, 3))
        assert isinstance(edge, tuple)
        assert min(edge) > 0xE0
        assert picture.convert("L").getextrema()[0] < 60  # type: ignore[operator]


def test_without_scripts_the_numbers_stand_alone(
    times: Served, context_of: Callable[..., BrowserContext]
) -> None:
    page = context_of(java_script_enabled=False).new_page()
    page.goto(f"{times.address}/times/{shop.GLUE_UP}")
    expect(page.get_by_role("button", name="Save this as a picture")).to_have_count(0)
    expect(page.locator(".chart-paper").first).to_be_hidden()
    expect(page.get_by_role("table").nth(0)).to_be_visible()
    expect(page.locator("svg.span").first).to_be_visible()
    page.get_by_label("how much, in joints").fill("8")
    page.get_by_role("button", name="Say how long").click()
    expect(page.get_by_text("8 joints: ")).to_be_visible()
