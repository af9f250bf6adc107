"""What somebody does who never saw the program: sets up a shop, writes patterns and jobs, taps."""

from dataclasses import dataclass

from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import all_sent, choose, main_button, press
from tests.browser.served import Served

LAMINATED = "side table"


@dataclass
class Stranger:
    """A person with a tablet, and the shop that is served to it; ``ahead`` minutes went by."""

    page: Page
    served: Served
    ahead: int = 0

    def go(self, path: str) -> None:
        self.page.goto(self.served.address + path)

    def office(self, path: str) -> None:
        """A page of the office, which asks who it is once in a while."""
        self.go(path)
        if "/office?" in self.page.url:
            self.tap("Ann")

    def tap(self, words: str) -> None:
        self.page.get_by_role("button", name=words).first.click()

    def follow(self, words: str) -> None:
        self.page.get_by_role("link", name=words).first.click()

    def write(self, label: str, words: str) -> None:
        self.page.get_by_label(label, exact=True).fill(words)

    def pick(self, label: str, words: str) -> None:
        self.page.get_by_label(label, exact=True).first.select_option(label=words)

    def tick(self, *labels: str) -> None:
        for label in labels:
            self.page.get_by_label(label, exact=True).check()

    def sees(self, words: str) -> None:
        expect(self.page.locator("main")).to_contain_text(words)

    def later(self, minutes: int) -> None:
        """Time goes by in the shop."""
        self.ahead += minutes
        (self.served.instance / "ahead").write_text(str(self.ahead))

    def one(self, sql: str, **values: object) -> object:
        """The one value that the database has for a question."""
        ((value,),) = self.served.rows(sql, **values)
        return value


def first_day(
    one: Stranger,
    name: str,
    lengths: str,
    people: str,
    work: str = "",
    stages: tuple[tuple[str, str], ...] = (),
) -> None:
    """The guided start: open every day, 12 hour clock, °C and euro; ``work`` is a first job's customer.

    ``stages`` are the kinds and amounts of the first pattern, where they are not left as they are offered.
    """
    page = one.page
    one.go("/")
    one.write("name of the shop", name)
    one.tick(lengths, "°C", "2:10 pm", "Sat", "Sun")
    one.pick("money", "EUR – euro")
    one.write("work ends", "17:30")
    page.locator(".main-button").click()
    one.write("names, one a line", people)
    for step in ("people", "rooms", "stations", "clamps", "recipes", "kinds", "pattern"):
        page.wait_for_url(f"**/start/{step}")
        if step == "pattern" and stages:
            _first_pattern(page, stages)
        page.locator(".main-button").click()
    if work:
        one.write("customer", work)
        page.locator(".main-button").click()
    else:
        one.tap("Leave this out, to the Floor")
    page.wait_for_url(f"{one.served.address}/")


def _first_pattern(page: Page, stages: tuple[tuple[str, str], ...]) -> None:
    rows = page.locator(".stage-rows li").count()
    for n, (kind, amount) in enumerate(stages + (("–", ""),) * (rows - len(stages)), 1):
        page.locator(f"#kind-{n}").select_option(label=kind)
        page.locator(f"#amount-{n}").fill(amount)


@dataclass(frozen=True)
class Drafted:
    """A stage as it is written into a pattern: how much, after which others, with what glue and clamps."""

    kind: str
    name: str
    each: str = ""
    job: str = ""
    after: tuple[str, ...] = ()
    recipe: str = ""
    clamps: tuple[str, ...] = ()


TABLE = (
    Drafted("milling", "mill the top", each="5"),
    Drafted("glue-up", "glue up the top", each="4", recipe="yellow PVA glue", clamps=("900 mm", "4")),
    Drafted(
        "glue-up", "laminate the legs", each="4", recipe="yellow PVA glue", clamps=("300 mm", "2", "each")
    ),
    Drafted("fitting", "fit legs to top", each="1", after=("3 laminate the legs", "2 glue up the top")),
    Drafted("finishing", "oil it", job="2", recipe="wiping oil"),
)
"""Two branches that come together: the top, and the legs that are glued in rounds; then coats in rounds."""


def write_pattern(one: Stranger) -> None:
    """Write the pattern of the side table from nothing, and save it."""
    one.go("/patterns")
    one.follow("Write a new one")
    for drafted in TABLE:
        if drafted.kind != "milling":
            one.tap(
                "Add a stage that begins by itself"
                if drafted.name == "laminate the legs"
                else "Add a stage after this"
            )
        _draft(one, drafted)
    one.write("name of the pattern", LAMINATED)
    one.tap("Save the pattern")
    expect(one.page.locator("h1")).to_have_text(LAMINATED)


def _draft(one: Stranger, drafted: Drafted) -> None:
    page = one.page
    one.pick("kind of stage", drafted.kind)
    one.write("what it is called", drafted.name)
    page.locator("#per_piece").fill(drafted.each)
    page.locator("#fixed").fill(drafted.job)
    if drafted.name in ("laminate the legs", "oil it"):
        one.tick("done in rounds, each with its own wait")
    for n, other in enumerate(drafted.after):
        if n:
            one.tap("Keep this, one more line")
        page.locator(f"#need-{n}-stage").select_option(label=other)
    if drafted.recipe:
        one.pick("glue or finish", drafted.recipe)
    if drafted.clamps:
        page.locator("#clamp-0-pool").select_option(label=drafted.clamps[0])
        page.locator("#clamp-0-count").fill(drafted.clamps[1])
    if drafted.clamps[2:]:
        one.tick("for each piece")


def add_job(one: Stranger, title: str, customer: str, coats: str = "") -> int:
    """Make a job of the pattern; gives its number."""
    one.go("/patterns")
    one.follow(LAMINATED)
    one.follow("Make a job of it")
    one.write("what it is", title)
    one.write("customer", customer)
    one.write("promised date", "2031-05-02")
    one.write("price, EUR", "1,450")
    one.page.locator("#measure-5").fill(coats)
    one.tap("Add the job")
    expect(one.page.locator("h1")).to_contain_text(title)
    return int(one.page.url.rsplit("/", 1)[1])


def bench(one: Stranger, who: str) -> None:
    """To the Bench, and one's own name."""
    one.go("/bench")
    expect(one.page.locator("html[data-script=on]")).to_have_count(1)
    choose(one.page, who)


def offered(one: Stranger, tag: str, stage: str) -> Locator:
    """The button that starts a stage of a job: the large one, or one of the list."""
    place = one.page.locator(f'#next [data-stage]:has-text("{tag}"):has-text("{stage}"):visible').first
    return place.locator("form.tap button").first


def begin(one: Stranger, who: str, tag: str, stage: str) -> None:
    """Tap one's name, then the stage: two taps."""
    bench(one, who)
    press(offered(one, tag, stage))
    expect(one.page.locator("#hand h1")).to_contain_text(stage)


def last_tap(button: Locator) -> None:
    """The last tap before one goes to another page: nothing has to be waited for but that it has arrived."""
    all_sent(button.page)
    with button.page.expect_response("**/api/entries"):
        button.click()
    all_sent(button.page)


def done(one: Stranger, who: str) -> None:
    """The large button ends what is in hand."""
    last_tap(main_button(one.page, f"{who}: done"))


def glue_up(one: Stranger, who: str, tag: str, helper: str = "") -> None:
    """Spread, in the clamps, done; somebody may have lent ten minutes."""
    begin(one, who, tag, "glue up the top")
    press(one.page.get_by_role("button", name="Spread"))
    if helper:
        one.page.locator("summary", has_text="+ help").click()
        press(one.page.get_by_role("button", name=f"{helper} 10 min"))
    press(main_button(one.page, "closed, in the clamps"))
    expect(one.page.locator("#tape")).to_contain_text(f"{tag} off ")
    done(one, who)


def legs_in_clamps(one: Stranger, who: str, tag: str) -> None:
    """All four legs in one round, then done."""
    begin(one, who, tag, "laminate the legs")
    press(one.page.locator("#hand").get_by_role("button", name="4 and log it"))
    done(one, who)


def clamps_off(one: Stranger, who: str) -> None:
    """Whatever is in clamps comes out of them, an hour and a bit later."""
    one.later(80)
    bench(one, who)
    while one.page.locator("[data-held]").count():
        last_tap(one.page.locator("[data-held] > form button").first)
        bench(one, who)


def coat(one: Stranger, who: str, tag: str, *, last: bool) -> None:
    """A coat on and wiped off; after the last one the stage is done, else it is left to dry."""
    begin(one, who, tag, "oil it")
    press(main_button(one.page, "coat on"))
    press(main_button(one.page, f"{who}: done") if last else one.page.get_by_role("button", name="Pause"))
    last_tap(one.page.get_by_role("button", name="Wiped off").first)


def close_job(one: Stranger, job: int) -> None:
    """Close a finished job; its page says the hours and what they cost at 48 an hour."""
    one.office(f"/jobs/{job}/end")
    one.tap("Close the job")
    one.sees("delivered today")
    worked = (
        "SELECT sum(t.attended_min) FROM tally t JOIN stages s ON s.id = t.stage_id WHERE s.job_id = :job"
    )
    hands = one.page.locator("table.sums-whole tr", has_text="hands").locator(".cents").inner_text()
    cost = float(hands.removeprefix("− ").split()[0])
    assert cost > 20
    assert abs(cost - float(str(one.one(worked, job=job))) * 48 / 60) < 0.02
