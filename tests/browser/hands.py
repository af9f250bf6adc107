"""What a person does at the tablet, in the words of the page."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.served import Served, wait_for


def open_bench(page: Page, served: Served, name: str = "Ben", *, lan: bool = False) -> None:
    page.goto(f"{served.lan_address if lan else served.address}/bench")
    expect(page.locator("html[data-script=on]")).to_have_count(1)
    choose(page, name)


def choose(page: Page, name: str) -> None:
    """Tap a name."""
    page.get_by_role("navigation", name="Who").get_by_role("link", name=name).click()
    expect(page.locator(f'.who[aria-current]:has-text("{name}")')).to_have_count(1)


def row(page: Page, tag: str) -> Locator:
    """The line of the list that has a job's first startable stage."""
    return page.locator(f'.next [data-stage]:has-text("{tag}"):visible').first


def start(page: Page, tag: str) -> None:
    """Start the first stage of a job that is on offer, also where the page asks whether it is too early."""
    place = row(page, tag)
    question = place.locator("details.early")
    if question.count() and question.get_attribute("open") is None:
        question.locator("summary").click()
    press(place.locator("form button").first)
    expect(page.locator("#hand h1")).to_contain_text(tag)


def press(button: Locator) -> None:
    """A tap, with the time that a hand needs before the next."""
    button.click()
    rest(button.page)


def rest(page: Page) -> None:
    """Let the moment pass in which a second tap is taken for a bounce of the first."""
    page.wait_for_timeout(750)


def main_button(page: Page, words: str) -> Locator:
    return page.locator("#hand .mains").get_by_role("button", name=words)


def all_sent(page: Page) -> None:
    expect(page.locator("#unsent")).to_have_text("all taps sent", timeout=40_000)


def wait_for_kinds(served: Served, kinds: list[str]) -> None:
    wait_for(f"the log has {kinds}, it has {served.kinds()}", lambda: served.kinds() == kinds)
