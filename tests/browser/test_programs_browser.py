"""Machine programs in a real browser: attached with and without scripts, measured, and lost with the plug."""

from collections.abc import Callable
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser import shop
from tests.browser.conftest import TABLET
from tests.browser.served import Served, wait_for
from tests.browser.test_pages import LEAST_PX, MAIN_PX, SIZES, TARGETS, enter_office
from tests.flows.programs.shop import BAD, TWO_BITS

STAGE = f"/jobs/{shop.SHELF}/stages/{10 * shop.SHELF + 1}/programs"


def send(page: Page, data: bytes, name: str = "shelf.nc") -> None:
    page.locator("#file").set_input_files({"name": name, "mimeType": "text/plain", "buffer": data})
    page.get_by_role("button", name="Read the program").click()


def test_a_program_is_attached_without_a_script(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    page = context_of(java_script_enabled=False).new_page()
    page.goto(served.address + STAGE)
    send(page, BAD)
    expect(page.locator("#wrong-file")).to_contain_text("Line 4")
    send(page, TWO_BITS)
    expect(page.get_by_role("heading", level=1)).to_have_text("shelf.nc")
    expect(page.locator(".pg-path")).to_be_visible()


def test_its_pages_are_for_every_hand_and_eye(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """Both ways to hold a tablet and a phone: 44 px, no sideways scrolling, and axe finds nothing."""
    wrong, measured = [], 0
    for name, size in SIZES.items():
        page = enter_office(context_of(**size).new_page(), served)
        page.goto(served.address + STAGE)
        send(page, TWO_BITS + name.encode(), f"{name}.nc")
        made = page.url.removeprefix(served.address)
        for path in (made, STAGE, STAGE.removesuffix("/programs"), "/shop/stations/1/programs"):
            page.goto(served.address + path)
            for what, width, height, main in page.evaluate(TARGETS):
                measured += 1
                if height < (MAIN_PX if main else LEAST_PX) - 0.5 or width < LEAST_PX - 0.5:
                    wrong.append(f"{name} {path}: {what} is {width:.0f} × {height:.0f}")
            if (over := page.evaluate("document.documentElement.scrollWidth - innerWidth")) > 0:
                wrong.append(f"{name} {path}: scrolls sideways by {over} px")
            if size is TABLET:
                found = Axe().run(page).response["violations"]
                wrong += [f"{name} {path}: {v['id']} {v['nodes'][0]['html'][:120]}" for v in found]
    assert not wrong, "\n".join(wrong)
    assert measured > 100


def test_the_plug_is_pulled_while_a_long_program_is_read(
    served: Served, tablet: Page, tmp_path: Path
) -> None:
    """The first ticks are on the page when the server dies: no half program, no file, no process is left."""
    long = tmp_path / "long.nc"
    lines = b"".join(b"G1 X%d Y%d Z-%d.5\n" % (n % 700, n % 300, n % 3) for n in range(200_000))
    with long.open("wb") as out:
        out.write(TWO_BITS.replace(b"M30\n%\n", b""))
        for _ in range(12):
            out.write(lines)
        out.write(b"M30\n")
    tablet.goto(served.address + STAGE)
    tablet.locator("#file").set_input_files(long)
    tablet.get_by_role("button", name="Read the program").click(no_wait_after=True)
    wait_for("the reading", lambda: tablet.locator(".ticks li").count() > 0)
    served.kill()
    served.start()
    assert served.rows("SELECT * FROM programs") == []
    assert served.rows("SELECT * FROM program_tools") == []
    left = {p.name for p in served.instance.iterdir() if p.is_file()}
    assert not {name for name in left if name.startswith("tmp")}
    tablet.goto(served.address + STAGE)
    send(tablet, TWO_BITS)
    expect(tablet.get_by_role("heading", level=1)).to_have_text("shelf.nc")
