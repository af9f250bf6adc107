"""Letters twice as large as usual, set in the browser: no page of times and quotes is cut off at its side."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import PHONE, TABLET, UPRIGHT
from tests.browser.finder import launch
from tests.browser.quoting import post_quote
from tests.browser.served import Served

# WCAG 2.2, 1.4.4: text may be made twice as large with nothing lost; 16 px is the usual size of a browser
TWICE_PX = 32
PAGES = (
    "/times", "/times/1", "/times/jobs", "/times/record", "/quotes", "/quotes/1", "/quotes/new?pattern=none",
    "/quotes/1/revise", "/quotes/record", "/quotes/pays", "/shop/terms", "/shop/hour-cost",
)  # fmt: skip
CUT_OFF = """() => [...document.querySelectorAll('body *:not(.out-of-sight, select, input, svg *)')]
  .filter(each => each.checkVisibility() && !each.closest('.out-of-sight'))
  .filter(each => each.getBoundingClientRect().right > document.documentElement.clientWidth + 1
    || (getComputedStyle(each).overflowX === 'hidden' && each.scrollWidth > each.clientWidth + 1))
  .filter(each => !each.matches('.skip'))
  .map(each => each.tagName + ' ' + each.textContent.trim().slice(0, 40))"""


@pytest.fixture(scope="module")
def large(browser: Browser) -> Iterator[Browser]:
    """A browser whose person has set large letters."""
    found = launch(browser.browser_type, f"--blink-settings=defaultFontSize={TWICE_PX}")
    assert found is not None
    yield found
    found.close()


@pytest.mark.parametrize("size", [TABLET, UPRIGHT, PHONE], ids=["lying", "upright", "phone"])
def test_letters_twice_as_large_lose_nothing(large: Browser, served: Served, size: dict[str, object]) -> None:
    """No sideways scrolling, nothing past the edge or hidden behind one, on any of the pages."""
    page = large.new_context(**size).new_page()  # type: ignore[arg-type]
    post_quote(page, served)
    wrong = []
    for path in PAGES:
        answer = page.goto(served.address + path)
        assert answer is not None
        assert answer.ok, path
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == f"{TWICE_PX}px"
        wrong += [f"{path}: {cut}" for cut in page.evaluate(CUT_OFF)]
        over = page.evaluate("(all => all.scrollWidth - all.clientWidth)(document.documentElement)")
        wrong += [f"{path}: scrolls sideways by {over} px"] if over > 0 else []
    assert not wrong, "\n".join(wrong)
