"""A whole day with the keyboard alone: Tab to what is wanted, Enter; the focus can always be seen."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import all_sent, main_button, rest, row, wait_for_kinds
from tests.browser.served import Served

FARTHEST = 250


def reach(page: Page, wanted: Locator) -> None:
    """Press Tab until what is wanted has the focus, and see that the focus shows."""
    expect(wanted).to_be_visible()
    for _ in range(FARTHEST):
        page.keyboard.press("Tab")
        if wanted.evaluate("each => each === document.activeElement"):
            outline = wanted.evaluate("each => getComputedStyle(each).outlineStyle")
            assert outline != "none", "the focus can't be seen"
            return
    raise AssertionError(f"not within {FARTHEST} presses of Tab: {wanted}")


def press_enter(page: Page, wanted: Locator) -> None:
    """Go there and press Enter, with the time that a hand needs before the next."""
    reach(page, wanted)
    page.keyboard.press("Enter")
    rest(page)


def begin(page: Page, tag: str) -> None:
    """Begin the first stage of a job that is on offer, also where the page asks whether it is too early."""
    place = row(page, tag)
    question = place.locator("details.early")
    if question.count() and question.get_attribute("open") is None:
        press_enter(page, question.locator("summary"))
    press_enter(page, place.locator("form button").first)
    expect(page.locator("#hand h1")).to_contain_text(tag)


def test_a_whole_day_by_keyboard(served: Served, tablet: Page) -> None:
    """Ben chooses his name, works B4 from end to end, puts a seat in clamps, sweeps, and B4 is closed."""
    tablet.goto(f"{served.address}/bench")
    expect(tablet.locator("html[data-script=on]")).to_have_count(1)
    press_enter(tablet, tablet.get_by_role("navigation", name="Who").get_by_role("link", name="Ben"))
    for _ in range(3):
        begin(tablet, "B4")
        press_enter(tablet, main_button(tablet, "Ben: done"))
    begin(tablet, "W6")
    press_enter(tablet, main_button(tablet, "Ben: done"))
    begin(tablet, "W6")
    press_enter(tablet, main_button(tablet, "Ben: closed, in the clamps"))
    press_enter(tablet, main_button(tablet, "Ben: done"))
    all_sent(tablet)
    wait_for_kinds(served, ["start", "finish"] * 3 + ["start", "finish", "start", "closed", "finish"])
    press_enter(tablet, tablet.get_by_role("link", name="Jobs", exact=True))
    press_enter(tablet, tablet.get_by_role("link", name="B4").first)
    press_enter(tablet, tablet.get_by_role("link", name="Deliver and close it"))
    press_enter(tablet, tablet.get_by_role("button", name="Ben"))
    press_enter(tablet, tablet.get_by_role("button", name="Close the job"))
    expect(tablet.get_by_role("button", name="Open it again")).to_be_visible()
    closed = served.rows("SELECT closed_at IS NOT NULL FROM jobs WHERE tag = 'B4'")
    assert closed == [(1,)]
    press_enter(tablet, tablet.get_by_role("link", name="Floor", exact=True))
    expect(tablet.get_by_text("W6").first).to_be_visible()
