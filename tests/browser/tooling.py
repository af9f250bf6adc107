"""What a person does in the office to write a saw with two blades down, and to tap on the Tools screen."""

from playwright.sync_api import Page, expect

from tests.browser.served import Served


def write_saw(page: Page, served: Served) -> None:
    """A panel saw with blade A on it and blade B as a spare, written down by Ben."""
    page.goto(f"{served.address}/office?back=/shop/tools")
    door = page.get_by_role("button", name="Ben")
    if door.count():
        door.tap()
    page.locator('[name="name"]').fill("panel saw")
    page.locator('[name="kind"]').select_option(label="saw blade")
    page.locator('[name="edge"]').fill("blade A")
    page.get_by_role("button", name="Add the tool").tap()
    page.get_by_role("link", name="panel saw").tap()
    page.locator('#edges [name="edge"]').fill("blade B")
    page.get_by_role("button", name="Add it").tap()
    expect(page.locator("#edges")).to_contain_text("Rename")
    expect(page.locator('#edges input[value="blade B"]')).to_have_count(1)


def tapped(page: Page, served: Served, words: str) -> None:
    """One tap on the Tools screen, until the page has followed it."""
    page.goto(f"{served.address}/tools")
    press_deed(page, words)
    expect(page.locator("#did")).to_contain_text("– saved")
    page.wait_for_url("**did=*")


def press_deed(page: Page, words: str) -> None:
    """The first button of these words on the page."""
    page.get_by_role("button", name=words).first.tap()
