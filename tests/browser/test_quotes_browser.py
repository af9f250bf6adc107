"""The main way of a quote by taps alone, also without scripts: written, put out, taken, a job."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.conftest import PHONE, TABLET
from tests.browser.quoting import enter, write_quote
from tests.browser.served import Served


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no-scripts"])
def test_from_a_new_quote_to_its_job(
    served: Served, context_of: Callable[..., BrowserContext], scripts: bool
) -> None:
    page = context_of(**TABLET, java_script_enabled=scripts).new_page()
    enter(page, served)
    write_quote(page)
    page.get_by_role("button", name="Put it out").tap()
    expect(page.get_by_text("Out since")).to_be_visible()
    page.locator('[name="promised_on"]').fill("2031-03-14")
    page.get_by_role("button", name="Taken: make the job").dblclick()
    expect(page.locator(".plate-tag")).to_be_visible()
    expect(page.locator("h1")).to_contain_text("a chest of drawers")
    made = served.rows("SELECT title, pieces, promised_on FROM jobs WHERE title LIKE 'a chest%'")
    assert made == [("a chest of drawers", 1, "2031-03-14")]
    stages = served.rows(
        "SELECT s.name, s.quantity FROM stages s JOIN jobs j ON j.id = s.job_id "
        "WHERE j.title LIKE 'a chest%' ORDER BY s.position"
    )
    assert stages == [("milling", 18.25), ("glue-up", 7.0)]
    page.get_by_role("link", name="quote 1").tap()
    expect(page.get_by_text("Taken ")).to_be_visible()


def test_another_price_on_a_phone(served: Served, context_of: Callable[..., BrowserContext]) -> None:
    """Tried first, then taken over into a revision."""
    page = context_of(**PHONE).new_page()
    enter(page, served)
    write_quote(page)
    another_price(page, "1")
    expect(page.locator(".loss")).to_contain_text("all but certain")
    another_price(page, "5000")
    expect(page.locator(".loss")).to_contain_text("less than 1 in 200")
    page.get_by_role("link", name="Change the quote to this price").tap()
    page.get_by_role("button", name="Save as the next revision").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("revision 2")
    expect(page.locator(".quote-facts")).to_contain_text(re.compile(r"5,095\.00\sUSD"))


def another_price(page: Page, price: str) -> None:
    page.locator('[name="price"]').fill(price)
    page.get_by_role("button", name="What would it leave?").tap()
