"""A quote on paper: the customer's sheet tells nothing of the inside, the shop's own tells all of it."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext

from tests.browser.conftest import TABLET
from tests.browser.quoting import enter, write_quote
from tests.browser.served import Served
from tests.browser.test_paper import SIZES, printed, words

INNER = ("61.30", "33.33", "13.70", "22.10", "oak, 5/4", "milling", "glue-up", "half", "in 10", "markup",
         "margin", "logged", "out of plumb")  # fmt: skip
"""What only the shop knows: rates, margin, what is bought and for how much, stages, ranges, its notes."""
TOLD = ("Sedge Lane Joinery", "a chest of drawers", "1 piece", "White oak, dovetailed, oiled by hand.",
        "Ola Fen", "carried upstairs 95.00 USD", "brass pulls 140.00 USD", "to be paid",
        "when it is ordered, 50 %", "holds until")  # fmt: skip
TOO_WIDE = """() => [...document.querySelectorAll('.offer *, .own-sheet *')].filter((each) => {
  const drawn = getComputedStyle(each), box = each.getBoundingClientRect();
  return !each.closest('svg') && (drawn.color !== 'rgb(0, 0, 0)' || box.right > innerWidth + 0.5
    || each.scrollWidth > each.clientWidth + 1 && drawn.display !== 'inline');
}).map((each) => each.outerHTML.slice(0, 80))"""


def test_what_is_printed_of_a_quote(served: Served, context_of: Callable[..., BrowserContext]) -> None:
    """On A4 and Letter: one page for the customer, without a number of the inside; all of it for the shop."""
    page = context_of(**TABLET).new_page()
    enter(page, served)
    write_quote(page)
    own = f"{page.url}/own-sheet"
    page.goto(f"{page.url}/sheet")
    price = " ".join(page.locator(".offer-sums .total td").inner_text().split())
    for paper, (width, height) in SIZES.items():
        pdf = printed(page, paper)
        (only,) = pdf.pages
        assert (round(only.mediabox.width), round(only.mediabox.height)) == pytest.approx(
            (width, height), abs=2
        )
        told = words(only)
        for said in (*TOLD, price):
            assert said in told, (paper, said)
        for never in INNER:
            assert never.lower() not in told.lower(), (paper, never)
        assert not re.search(r"\d (h|min)\b", told)
    page.goto(own)
    for paper in SIZES:
        whole = " ".join(words(each) for each in printed(page, paper).pages)
        for said in (*INNER, "the shop’s own sheet"):
            assert said.lower() in whole.lower(), (paper, said)


def test_nothing_is_clipped_and_ink_is_black(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """A4 less its margins is 186 mm, 703 px; a long title, on a dark screen and in glare."""
    page = context_of(viewport={"width": 703, "height": 990}, color_scheme="dark").new_page()
    enter(page, served)
    write_quote(page, "Ein-sehr-langes-Wort-" * 6 + " and then some")
    quote = page.url
    page.emulate_media(media="print", color_scheme="dark")
    for sheet, look in (("sheet", ""), ("sheet", "glare"), ("own-sheet", ""), ("own-sheet", "glare")):
        page.goto(f"{quote}/{sheet}")
        page.evaluate("(look) => document.documentElement.className = look", look)
        assert page.evaluate("document.documentElement.scrollWidth") <= 703, sheet
        assert page.evaluate(TOO_WIDE) == []
        assert not page.locator("#print").is_visible()
