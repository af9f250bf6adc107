"""A stranger sets an invented shop up from an empty database, by taps and typing, to a job on the Bench."""

from collections.abc import Callable
from dataclasses import dataclass

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Locator, Page, expect

from shoptrack.flows.first_day.steps import STEPS
from tests.browser.conftest import PHONE, TABLET, UPRIGHT
from tests.browser.hands import all_sent, press
from tests.browser.served import Served
from tests.browser.test_pages import LEAST_PX, MAIN_PX, TARGETS

MOST_TAPS, MOST_TYPED = 60, 25  # ten minutes at ten seconds a tap or a field, and every page read


@dataclass
class Stranger:
    """Somebody who sees the program for the first time; what they do is counted."""

    page: Page
    taps: int = 0
    typed: int = 0

    def tap(self, what: Locator) -> None:
        what.click()
        self.taps += 1

    def write(self, label: str, words: str) -> None:
        """Tap into a field and type over what is there."""
        self.fill(self.page.get_by_label(label, exact=True), words)

    def fill(self, where: Locator | str, words: str) -> None:
        (self.page.locator(where) if isinstance(where, str) else where).fill(words)
        self.taps += 1
        self.typed += 1

    def choose(self, label: str, words: str) -> None:
        """A list is opened and a line of it tapped."""
        self.page.get_by_label(label, exact=True).select_option(label=words)
        self.taps += 2

    def tick(self, name: str) -> None:
        self.tap(self.page.get_by_label(name, exact=True))

    def go_on(self, at: str) -> None:
        """Tap the large button of a step's page."""
        assert self.page.url.endswith(f"/start/{at}")
        self.tap(self.page.locator(".main-button"))


def test_a_stranger_comes_to_a_job_on_the_bench(
    unset: Served, tablet: Page, record_property: Callable[[str, object], None]
) -> None:
    """Hornbeam Yard: in °C and inches, two people, no jointer but a drum sander, epoxy beside yellow glue.

    Their board has no rest and is carved; eight of them are promised. Ends on the Floor with that job, whose
    first stage one of the two starts on the Bench.
    """
    tablet.goto(unset.address)
    one = Stranger(tablet)
    one.write("name of the shop", "Hornbeam Yard")
    one.tick("inches")
    one.tick("°C")
    for day in ("Sat", "Sun"):  # the test may run on any day: this shop works every day
        one.tick(day)
    one.go_on("shop")
    one.write("names, one a line", "Marit\nTobin")
    one.go_on("people")
    one.fill("#night-workshop", "14")
    one.go_on("rooms")
    one.tick("jointer")
    one.tick("drum sander")
    one.go_on("stations")
    one.fill("#count-5", "12")
    one.go_on("clamps")
    one.tick("slow epoxy")
    one.go_on("recipes")
    one.tick("inlay")
    one.go_on("kinds")
    one.choose("stage 2", "carving, cutting minutes")
    one.write("name of the pattern", "carved board")
    one.go_on("pattern")
    one.write("customer", "the Fernside inn")
    one.write("pieces", "8")
    one.go_on("job")
    assert tablet.url == f"{unset.address}/"
    expect(tablet.locator("main")).to_contain_text("A2 rough milling")
    one.tap(tablet.get_by_role("link", name="Bench"))
    one.tap(tablet.get_by_role("link", name="Marit"))
    expect(tablet.locator("html[data-script=on]")).to_have_count(1)
    press(tablet.get_by_role("button", name="Marit: start"))
    one.taps += 1
    all_sent(tablet)
    assert unset.kinds() == ["start"]
    record_property("taps", one.taps)
    record_property("typed fields", one.typed)
    print(f"the first day took {one.taps} taps and {one.typed} typed fields")
    assert one.taps <= MOST_TAPS
    assert one.typed <= MOST_TYPED
    assert unset.rows("SELECT name, length_unit, temperature_unit, first_day FROM shop") == [
        ("Hornbeam Yard", "in", "C", None)
    ]
    assert ("drum sander",) in unset.rows("SELECT name FROM stations")
    assert ("jointer",) not in unset.rows("SELECT name FROM stations")


def test_every_step_is_for_every_hand_and_eye(
    unset: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """Each step on a tablet lying, upright and on a phone: 44 px, main button 72 px, nothing sideways, and
    what axe finds; on the lying tablet the way on is in sight without scrolling."""
    page, wrong, measured = context_of().new_page(), [], 0
    page.goto(unset.address)
    for step in STEPS:
        assert page.url.endswith(f"/start/{step}")
        for name, size in (("upright", UPRIGHT), ("phone", PHONE), ("lying", TABLET)):
            page.set_viewport_size(size["viewport"])  # type: ignore[arg-type]
            for words, width, height, main in page.evaluate(TARGETS):
                measured += 1
                if height < (MAIN_PX if main else LEAST_PX) - 0.5 or width < LEAST_PX - 0.5:
                    wrong.append(f"{name} {step}: {words} is {width:.0f} × {height:.0f}")
            if (over := page.evaluate("document.documentElement.scrollWidth - innerWidth")) > 0:
                wrong.append(f"{name} {step}: scrolls sideways by {over} px")
        expect(page.locator(".main-button")).to_be_in_viewport(ratio=1)
        found = Axe().run(page).response["violations"]
        wrong += [f"{step}: {v['id']} {v['nodes'][0]['html'][:120]}" for v in found]
        if page.locator("#names").count():
            page.locator("#names").fill("Marit")
        if page.locator("#customer").count():
            page.locator("#customer").fill("the Fernside inn")
        page.locator(".main-button").click()
    assert wrong == []
    assert measured > 500
    assert page.url == f"{unset.address}/"
