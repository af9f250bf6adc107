"""The Bench in a real browser against the real program and a real database file."""

from collections.abc import Callable

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.hands import all_sent, choose, main_button, open_bench, press, rest, start, wait_for_kinds
from tests.browser.served import Served, wait_for


def test_a_job_goes_from_its_first_stage_to_its_last(served: Served, tablet: Page) -> None:
    """Ben mills, flattens and packs B4, by two taps each; then nothing of B4 is left on the Bench."""
    open_bench(tablet, served)
    for _ in range(3):
        start(tablet, "B4")
        press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    wait_for_kinds(served, ["start", "finish"] * 3)
    expect(tablet.locator('#next [data-stage]:has-text("B4")')).to_have_count(0)
    done = served.rows("SELECT count(*) FROM tally WHERE standing = 'done' AND stage_id IN (21, 22, 23)")
    assert done == [(3,)]


def test_the_network_is_cut_in_the_middle_and_the_server_dies_twice(served: Served, tablet: Page) -> None:
    """Ben works B4 from end to end: the Wi-Fi goes after the first stage, and the server dies twice.

    The page goes on: it shows what is in hand, offers the stage that his finish made ready, and counts what
    is not sent. When the network is back, the log has every tap once and in the order of his taps.
    """
    open_bench(tablet, served)
    start(tablet, "B4")
    all_sent(tablet)
    wait_for("the spare pages are there", lambda: tablet.evaluate("performance.getEntriesByType('resource')"
             ".filter(each => each.name.endsWith('/spare')).length >= 3"))  # fmt: skip
    served.kill()
    press(main_button(tablet, "Ben: done"))
    expect(tablet.locator("#unsent")).to_contain_text("saved, not sent: 1")
    start(tablet, "B4")
    expect(tablet.locator("#hand h1")).to_contain_text("flattening")
    expect(tablet.locator("#unsent")).to_contain_text("saved, not sent: 2")
    served.start()
    all_sent(tablet)
    tablet.context.set_offline(True)
    press(main_button(tablet, "Ben: done"))
    start(tablet, "B4")
    expect(tablet.locator("#unsent")).to_contain_text("saved, not sent: 2")
    served.kill()
    press(main_button(tablet, "Ben: done"))
    expect(tablet.locator("#hand")).to_have_count(0)
    served.start()
    tablet.context.set_offline(False)
    all_sent(tablet)
    assert served.kinds() == ["start", "finish"] * 3
    taps = served.rows("SELECT seq, at FROM entries ORDER BY n")
    assert [seq for seq, _ in taps] == [1, 2, 3, 4, 5, 6]
    assert taps == sorted(taps, key=lambda tap: str(tap[1]))


def test_a_second_tap_on_the_same_button_is_a_bounce(served: Served, tablet: Page) -> None:
    """Gluey fingers: two taps 100 ms apart, at a button and at what came in its place, are one tap."""
    open_bench(tablet, served)
    button = tablet.get_by_role("button", name="Ben: start")
    box = button.bounding_box()
    assert box is not None
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tablet.touchscreen.tap(*middle)
    tablet.touchscreen.tap(*middle)
    expect(tablet.locator("#hand h1")).to_have_count(1)  # whichever the plan has first
    rest(tablet)
    box = main_button(tablet, "Ben: done").bounding_box()
    assert box is not None
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tablet.touchscreen.tap(*middle)
    tablet.touchscreen.tap(*middle)
    tablet.touchscreen.tap(*middle)
    expect(tablet.locator("#hand")).to_have_count(0)
    rest(tablet)
    all_sent(tablet)
    assert served.kinds() == ["start", "finish"]


def test_an_earlier_time_is_one_more_tap_and_falls_back_to_now(served: Served, tablet: Page) -> None:
    """Ben forgot to tap: he started 30 minutes ago. The tap after it counts from now again."""
    open_bench(tablet, served)
    tablet.get_by_role("link", name="30 min ago").click()
    start(tablet, "K7")
    expect(tablet.get_by_role("link", name="now", exact=True)).to_have_attribute("aria-current", "true")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    ago = served.rows(
        "SELECT kind, round((julianday(tapped_at) - julianday(at)) * 1440, 2) FROM entries ORDER BY n"
    )
    assert ago == [("start", 30.0), ("finish", 0.0)]


def test_before_lunch_is_the_shops_lunch(served: Served, tablet: Page) -> None:
    """Ben finished before lunch and says so after it: the entry counts from the minute lunch began."""
    open_bench(tablet, served)
    tablet.get_by_role("link", name="before lunch").click()
    press(tablet.get_by_role("button", name="Ben: start"))
    all_sent(tablet)
    # the page was some milliseconds under way when it told the tablet what the server's clock says
    second = served.rows("SELECT strftime('%M:%S', at, '+2 seconds') FROM entries")
    assert second[0][0] in ("00:00", "00:01", "00:02", "00:03")


def test_other_minutes_ago_can_be_typed(served: Served, tablet: Page) -> None:
    """None of the buttons fits: 75 minutes ago, typed under "other"."""
    open_bench(tablet, served)
    tablet.locator("#when summary").click()
    tablet.get_by_label("minutes ago").fill("75")
    tablet.get_by_role("button", name="So long ago").click()
    press(tablet.get_by_role("button", name="Ben: start"))
    all_sent(tablet)
    ago = served.rows("SELECT round((julianday(tapped_at) - julianday(at)) * 1440, 2) FROM entries")
    assert ago == [(75.0,)]


def test_that_was_ann_gives_her_the_tap_at_its_own_instant(served: Served, tablet: Page) -> None:
    """Ben's name was still up when Ann tapped: one tap strikes his start and makes it hers."""
    open_bench(tablet, served)
    start(tablet, "K7")
    all_sent(tablet)
    press(tablet.locator(".was").get_by_role("button", name="Ann"))
    expect(tablet.locator('.who[aria-current]:has-text("Ann")')).to_have_count(1)
    all_sent(tablet)
    expect(tablet.locator("#hand h1")).to_contain_text("K7")
    found = served.rows("SELECT kind, person_id, at FROM entries ORDER BY n")
    assert [(kind, person) for kind, person, _ in found] == [("start", 2), ("strike", 2), ("start", 1)]
    apart = served.rows(
        "SELECT abs(julianday(a.at) - julianday(b.at)) * 86400 < 0.2 FROM entries a, entries b"
        " WHERE a.n = 1 AND b.n = 3"
    )
    assert apart == [(1,)]
    choose(tablet, "Ben")
    expect(tablet.locator("#hand")).to_have_count(0)


def test_several_jobs_are_started_together_by_ticking(served: Served, tablet: Page) -> None:
    """B4's and X3's boards go through the planer in one set-up: one start with both stages."""
    open_bench(tablet, served)
    for tag in ("B4", "X3"):
        tablet.get_by_role("checkbox", name=f"{tag} milling").check()
    press(tablet.get_by_role("button", name="Start the ticked ones together"))
    all_sent(tablet)
    expect(tablet.locator("#hand h1")).to_contain_text("B4 X3")
    stages = served.rows("SELECT stage_id FROM entry_stages ORDER BY place")
    assert stages == [(21,), (61,)]


def test_help_spoiled_shop_time_and_strike_take_two_taps(served: Served, tablet: Page) -> None:
    """Ann helps Ben 20 minutes, one board of six tears out, Ben strikes that, then sweeps the floor."""
    open_bench(tablet, served)
    start(tablet, "K7")
    tablet.locator("summary", has_text="+ help").click()
    press(tablet.get_by_role("button", name="Ann 20 min"))
    all_sent(tablet)
    tablet.locator("summary", has_text="Spoiled").click()
    press(tablet.get_by_role("button", name="tear-out"))
    all_sent(tablet)
    press(tablet.get_by_role("button", name="Strike last"))
    all_sent(tablet)
    tablet.locator("summary", has_text="Shop time").click()
    press(tablet.get_by_role("button", name="sweeping"))
    all_sent(tablet)
    expect(tablet.locator("#hand h1")).to_have_text("sweeping")
    assert served.kinds() == ["start", "help", "spoil", "strike", "start"]
    spoil, strike = served.rows("SELECT id, of_id FROM entries WHERE kind IN ('spoil', 'strike') ORDER BY n")
    assert strike[1] == spoil[0]


def test_rounds_are_counted_and_the_rest_is_left(served: Served, tablet: Page) -> None:
    """D2 has 20 inlays and 7 clamps: 7 go in, then 5 by the number button, and 8 are left."""
    open_bench(tablet, served)
    start(tablet, "D2")
    press(main_button(tablet, "Ben: 7 more in the clamps"))
    all_sent(tablet)
    expect(tablet.locator("[data-left-shown]")).to_have_text("13")
    press(tablet.get_by_role("button", name="5 and log it"))
    all_sent(tablet)
    expect(tablet.locator("[data-left-shown]")).to_have_text("8")
    counts = served.rows("SELECT json_extract(body, '$.count') FROM entries WHERE kind = 'closed' ORDER BY n")
    assert [float(str(n)) for (n,) in counts] == [7.0, 5.0]


def test_a_start_that_is_too_early_is_questioned_and_may_be_insisted_on(served: Served, tablet: Page) -> None:
    """K7 is in clamps: flattening it says so, asks, and carries that it was insisted on."""
    open_bench(tablet, served)
    start(tablet, "K7")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    start(tablet, "K7")
    press(main_button(tablet, "Ben: closed, in the clamps"))
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    early = tablet.locator('#waiting [data-stage="13"]')
    tablet.locator("#waiting > summary").click()
    early.locator("summary").click()
    expect(early.get_by_role("button")).to_contain_text("in clamps until")
    expect(early.get_by_role("button")).to_contain_text("start anyway?")
    press(early.get_by_role("button"))
    all_sent(tablet)
    said = served.rows("SELECT json_extract(body, '$.insisted') FROM entries ORDER BY n DESC LIMIT 1")
    assert said == [(1,)]


def test_a_running_machine_may_be_left_running(served: Served, tablet: Page) -> None:
    """The router runs its program: Ben may stop it or leave it running, and the book knows which."""
    open_bench(tablet, served)
    start(tablet, "R5")
    all_sent(tablet)
    expect(tablet.get_by_role("button", name="Pause: machine stopped")).to_be_visible()
    press(tablet.get_by_role("button", name="I leave it running"))
    all_sent(tablet)
    said = served.rows("SELECT json_extract(body, '$.goes_on') FROM entries WHERE kind = 'pause'")
    assert said == [(1,)]


def test_the_names_are_back_after_half_a_minute(served: Served, tablet: Page) -> None:
    """Nobody taps for 30 s: the next who comes must not tap in Ben's name."""
    tablet.clock.install()
    open_bench(tablet, served)
    tablet.clock.run_for(29_000)
    expect(tablet.locator("main")).to_have_attribute("data-bench", "2")
    tablet.clock.run_for(3_000)
    expect(tablet.get_by_role("heading", name="Who is it?")).to_be_visible()


def test_everything_works_without_javascript(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """Scripts are off: the same buttons are plain forms, and B4 goes from end to end."""
    page = context_of(java_script_enabled=False).new_page()
    page.goto(f"{served.address}/bench")
    page.locator(".who", has_text="Ben").click()
    for _ in range(3):
        page.locator('.next [data-stage]:has-text("B4"):visible button').first.click()
        page.get_by_role("button", name="Ben: done").click()
    page.get_by_role("link", name="10 min ago").click()
    page.get_by_role("button", name="Ben: start").click()
    page.locator(".was").get_by_role("button", name="Ann").click()
    page.locator(".who", has_text="Ann").click()
    page.locator("summary", has_text="+ help").click()
    page.get_by_role("button", name="Cleo 10 min").click()
    page.get_by_role("button", name="Strike last").click()
    assert served.kinds() == [*["start", "finish"] * 3, "start", "start", "strike", "help", "strike"]
    assert served.rows("SELECT count(*) FROM set_aside") == [(0,)]


def test_a_job_is_worked_by_keyboard_alone(served: Served, tablet: Page) -> None:
    """A cabinet maker with a keyboard at the desk: Tab and Enter reach every tap."""

    def walk_to(words: str) -> None:
        for _ in range(80):
            tablet.keyboard.press("Tab")
            found = (
                "document.activeElement.matches('a, button, summary') && document.activeElement.textContent"
            )
            if words in (tablet.evaluate(found) or ""):
                return
        raise AssertionError(f"“{words}” can't be reached by Tab")

    tablet.goto(f"{served.address}/bench")
    expect(tablet.locator("html[data-script=on]")).to_have_count(1)
    walk_to("Ben")
    tablet.keyboard.press("Enter")
    expect(tablet.locator("main")).to_have_attribute("data-bench", "2")
    walk_to("Ben: start")
    tablet.keyboard.press("Enter")
    expect(tablet.locator("#hand")).to_have_count(1)
    rest(tablet)
    walk_to("10 min ago")
    tablet.keyboard.press("Enter")
    walk_to("Pause")
    outline = tablet.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    tablet.keyboard.press("Enter")
    all_sent(tablet)
    expect(tablet.locator("#hand")).to_have_count(0)
    wait_for_kinds(served, ["start", "pause"])


def test_the_thermometer_and_the_wall_are_read_on_the_tablet(served: Served, tablet: Page) -> None:
    """Cut off from the server Ben reads 59 °F and counts no clamps; both are in the book once it is back."""
    open_bench(tablet, served)
    tablet.context.set_offline(True)
    tablet.get_by_text("Thermometer and clamps on the wall").click()
    tablet.get_by_label("°F").first.fill("59")
    press(tablet.get_by_role("button", name="Read").first)
    tablet.get_by_role("spinbutton", name="on the wall").first.fill("0")
    press(tablet.get_by_role("button", name="Counted").first)
    tablet.context.set_offline(False)
    all_sent(tablet)
    said = served.rows(
        "SELECT kind, json_extract(body, '$.value_c'), json_extract(body, '$.count') FROM entries"
    )
    assert said == [("temperature", 15.0, None), ("recount", None, 0.0)]
