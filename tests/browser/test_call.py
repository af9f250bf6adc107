"""The call of a glue-up: spread starts the open time, a sound warns, closed gives the line for the tape."""

import re

from playwright.sync_api import Page, expect

from tests.browser.hands import all_sent, main_button, open_bench, press, start
from tests.browser.served import Served

LISTEN = """window.beeps = []; const make = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  window.beeps.push(Date.now());
  return make.call(this);
};"""
TAPE = re.compile(r"K7 off \d{1,2}:\d[05] · flattening [A-Z][a-z]{2} \d{1,2}:\d[05]")


def begin(page: Page, served: Served) -> None:
    page.add_init_script(LISTEN)
    page.clock.install()
    open_bench(page, served)
    for tap in ("start", "finish", "start"):
        if tap == "start":
            start_with_clock(page, "K7")
        else:
            main_button(page, "Ben: done").click()
            page.clock.run_for(800)
    expect(page.locator("#hand h1")).to_contain_text("glue-up")


def start_with_clock(page: Page, tag: str) -> None:
    page.locator(f'.next [data-stage]:has-text("{tag}"):visible form button').first.click()
    page.clock.run_for(800)
    expect(page.locator("#hand h1")).to_contain_text(tag)


def test_the_open_time_runs_out_with_a_sound_before_and_at_its_end(served: Served, tablet: Page) -> None:
    """White glue is open 10 minutes: the line empties, two beeps at 2 minutes left, four at the end."""
    begin(tablet, served)
    for line in ("cauls waxed", "panel flat on the bars", "clamps set to 620 mm"):
        tablet.get_by_label(line).check()
    tablet.get_by_role("button", name="Spread").click()
    tablet.clock.run_for(1000)
    left = tablet.locator("[data-left-over]")
    expect(left).to_contain_text(re.compile(r"9 min 5\d left of 10"))
    tablet.clock.run_for(7 * 60_000)
    assert tablet.evaluate("window.beeps.length") == 0
    width = float(tablet.locator("[data-bar]").get_attribute("width") or "0")
    assert 180 < width < 220
    tablet.clock.run_for(62_000)
    assert tablet.evaluate("window.beeps.length") == 2
    tablet.clock.run_for(121_000)
    assert tablet.evaluate("window.beeps.length") == 6
    expect(left).to_contain_text("open time over")


def test_closed_gives_the_line_for_the_tape_and_the_book_keeps_it(served: Served, tablet: Page) -> None:
    """Spread, closed: "K7 off 15:35 · flattening Thu 18:00" is shown at once and stays in the log as told."""
    open_bench(tablet, served)
    start(tablet, "K7")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    start(tablet, "K7")
    press(tablet.get_by_role("button", name="Spread"))
    tablet.context.set_offline(True)
    press(main_button(tablet, "Ben: closed, in the clamps"))
    expect(tablet.locator("#tape b")).to_have_text(TAPE)
    told = tablet.locator("#tape b").text_content()
    tablet.context.set_offline(False)
    all_sent(tablet)
    expect(tablet.locator("#tape b")).to_have_text(str(told))
    found = served.rows("SELECT json_extract(body, '$.told') FROM entries WHERE kind = 'closed'")
    assert found == [(told,)]


def test_leaving_a_glue_up_asks_whether_it_is_in_the_clamps(served: Served, tablet: Page) -> None:
    """Ben leaves a glue-up with "pause" and never said closed: it is asked on top, yes is one tap."""
    open_bench(tablet, served)
    start(tablet, "K7")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    start(tablet, "K7")
    press(tablet.locator("#hand").get_by_role("button", name="Pause"))
    question = tablet.get_by_role("group", name="Question")
    expect(question).to_contain_text("In the clamps?")
    yes, no = question.get_by_role("button", name="yes"), question.get_by_role("button", name="no")
    large, small = yes.bounding_box(), no.bounding_box()
    assert large is not None
    assert small is not None
    assert large["height"] >= 72
    assert large["width"] > 2 * small["width"]
    press(yes)
    all_sent(tablet)
    expect(question).to_have_count(0)
    said = served.rows("SELECT json_extract(body, '$.choice') FROM entries WHERE kind = 'answer'")
    assert said == [("yes",)]
