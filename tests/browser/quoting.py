"""What a person does in the office to write a quote down, by taps."""

from playwright.sync_api import Page, expect

from tests.browser.served import Served


def enter(page: Page, served: Served, name: str = "Ben") -> None:
    """Tap a name at the office's door."""
    page.goto(f"{served.address}/office?back=/quotes")
    page.get_by_role("button", name=name).tap()
    expect(page.get_by_role("heading", name="Quotes", exact=True)).to_be_visible()


def write_quote(page: Page, title: str = "a chest of drawers") -> None:
    """From the list to a draft: two stages, wood, hinges, delivery, an option, an hour of hands at 61.30."""
    page.get_by_role("link", name="A new quote").tap()
    page.get_by_role("link", name="none: a list of stages").tap()
    fill(page, "title", title)
    fill(page, "customer", "Ola Fen")
    stage(page, 0, "milling, boards", "18.25")
    page.get_by_role("button", name="One more stage").tap()
    stage(page, 1, "glue-up, joints", "7")
    bought(page, 0, "oak, 5/4", "31.5", "board feet", "13.70")
    page.get_by_role("button", name="One more line").tap()
    bought(page, 1, "drawer slides", "4", "pairs", "22.10")
    fill(page, "charge-0-words", "carried upstairs")
    fill(page, "charge-0-price", "95")
    fill(page, "option-0-words", "brass pulls")
    fill(page, "option-0-price", "140")
    fill(page, "words", "White oak, dovetailed, oiled by hand.")
    fill(page, "notes", "the left wall is out of plumb")
    fill(page, "margin", "33.33")
    page.locator("summary", has_text="The rest of the terms").tap()
    fill(page, "hour", "61.30")
    page.get_by_role("button", name="Reckon it").tap()
    expect(page.get_by_role("heading", name="Reckoned, not saved")).to_be_visible()
    page.get_by_role("button", name="Save as a draft").tap()
    expect(page.get_by_role("button", name="Put it out")).to_be_visible()


def fill(page: Page, name: str, words: str) -> None:
    page.locator(f'[name="{name}"]').fill(words)


def stage(page: Page, n: int, kind: str, quantity: str) -> None:
    page.locator(f'[name="stage-{n}-kind"]').select_option(label=kind)
    fill(page, f"stage-{n}-quantity", quantity)


def bought(page: Page, n: int, words: str, quantity: str, unit: str, each: str) -> None:
    for part, said in (("words", words), ("quantity", quantity), ("unit", unit), ("each", each)):
        fill(page, f"bought-{n}-{part}", said)


def post_quote(page: Page, served: Served) -> None:
    """A quote of each kind of line, put out, without a tap: for tests that only look at its pages."""
    fields = {
        "id": "f" * 32, "title": "a chest", "customer": "Ola Fen", "pieces": "2", "hour": "60", "do": "save",
        "price_at": "half", "stage-lines": "1", "stage-0-kind": "1", "stage-0-quantity": "12",
        "bought-lines": "1", "bought-0-words": "oak", "bought-0-kind": "material", "bought-0-quantity": "9",
        "bought-0-each": "13.70", "option-lines": "1", "option-0-words": "pulls", "option-0-price": "140",
    }  # fmt: skip
    for path, form in (
        ("/office", {"person": "2"}),
        ("/quotes/new", fields),
        ("/quotes/1/out", {"number": "1"}),
    ):
        answer = page.request.post(served.address + path, form=form, headers={"Origin": served.address})
        assert answer.ok, answer.text()
