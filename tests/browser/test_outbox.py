"""The outbox: no tap lost, doubled or reordered, by whatever happens to tablet, network and server."""

import os
import signal
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.finder import find_file, flags
from tests.browser.hands import all_sent, choose, main_button, open_bench, press, start
from tests.browser.served import Served, wait_for

KEEP = """async ([first, count, person]) => {
  const { keep, flush } = await import('/static/js/outbox.js');
  for (let n = first; n < first + count; n += 1) {
    await keep('note', { kind: 'note', person, stages: [11], text: String(n) });
  }
  flush();
}"""
CLOCK = """(() => { const Real = Date, off = %d;
  window.Date = class extends Real {
    constructor(...given) { if (given.length) super(...given); else super(Real.now() + off); }
    static now() { return Real.now() + off; }
  }; })()"""
DAY_MS = 86_400_000


def keep(page: Page, first: int, count: int, person: int = 2) -> None:
    """Notes "first", "first + 1", …, kept one after another by the page's own outbox."""
    page.evaluate(KEEP, [first, count, person])


def notes(served: Served, device_of: str = "%") -> list[int]:
    found = served.rows(
        "SELECT json_extract(body, '$.text') FROM entries WHERE kind = 'note' AND device LIKE :d ORDER BY n",
        d=device_of,
    )
    return [int(str(text)) for (text,) in found]


def test_taps_are_sent_in_order_and_in_batches_of_fifty(served: Served, tablet: Page) -> None:
    """120 taps were made without a network: they go in three posts, none over 50, in their order."""
    open_bench(tablet, served)
    sizes: list[int] = []
    tablet.on(  # what was answered: one more may have been tried while there was no network
        "requestfinished",
        lambda r: sizes.append(len(r.post_data_json["entries"])) if r.method == "POST" else None,
    )
    tablet.context.set_offline(True)
    keep(tablet, 1, 120)
    expect(tablet.locator("#unsent")).to_contain_text("saved, not sent: 120")
    sizes.clear()
    tablet.context.set_offline(False)
    all_sent(tablet)
    assert notes(served) == list(range(1, 121))
    assert sizes == [50, 50, 20]


def test_a_death_between_commit_and_answer_doubles_nothing(served: Served, tablet: Page) -> None:
    """The server writes the taps and dies before it says so: they are offered again and taken once."""
    open_bench(tablet, served)
    served.dies_before_the_next_answer()
    keep(tablet, 1, 5)
    wait_for("the server is dead", lambda: served.dead)
    assert len(notes(served)) >= 1
    served.start()
    all_sent(tablet)
    assert notes(served) == [1, 2, 3, 4, 5]


def test_two_pages_of_one_tablet_share_one_count(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """Two tabs tap and send at once, on an origin without locks: every number once, each tab's in order."""
    context = context_of()
    pages = [context.new_page(), context.new_page()]
    for page in pages:
        open_bench(page, served, lan=True)
    assert pages[0].evaluate("navigator.locks === undefined && crypto.randomUUID === undefined")
    for page, first in zip(pages, (1000, 2000), strict=True):
        page.evaluate(f"window.work = ({KEEP})([{first}, 40, 2])")
    for page in pages:
        page.evaluate("window.work")
        all_sent(page)
    wait_for("all 80 notes", lambda: len(notes(served)) == 80)
    found = notes(served)
    assert [n for n in found if n < 2000] == list(range(1000, 1040))
    assert [n for n in found if n >= 2000] == list(range(2000, 2040))
    assert served.rows("SELECT count(DISTINCT device), count(DISTINCT seq), max(seq) FROM entries") == [
        (1, 80, 80)
    ]


def test_two_tablets_with_clocks_wrong_by_400_days(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """One tablet lives 400 days ago, the other 400 days ahead; their taps count when they were made."""
    pages = []
    for days in (-400, 400):
        context = context_of()
        context.add_init_script(CLOCK % (days * DAY_MS))
        pages.append(context.new_page())
    for page, name, tag in zip(pages, ("Ben", "Ann"), ("B4", "X3"), strict=True):
        open_bench(page, served, name, lan=True)
        start(page, tag)
        all_sent(page)
    pages[0].context.set_offline(True)
    press(main_button(pages[0], "Ben: done"))
    press(main_button(pages[1], "Ann: done"))
    all_sent(pages[1])
    pages[0].wait_for_timeout(1500)
    pages[0].context.set_offline(False)
    all_sent(pages[0])
    late = served.rows("SELECT (julianday(received_at) - julianday(at)) * 86400 FROM entries ORDER BY n")
    seconds = [float(str(s)) for (s,) in late]
    assert all(-0.05 <= s < 15 for s in seconds)
    assert seconds[-1] > 1.5
    order = served.rows("SELECT person_id FROM entries WHERE kind = 'finish' ORDER BY at")
    assert order == [(2,), (1,)]


def test_a_tap_set_aside_is_shown_with_its_reason_and_blocks_nothing(served: Served, tablet: Page) -> None:
    """A tap on a stage that never was is set aside; the one after it is taken."""
    open_bench(tablet, served)
    tablet.evaluate("""async () => { const { keep, flush } = await import('/static/js/outbox.js');
      await keep('Ben: odd', { kind: 'pause', person: 2, stages: [999] });
      await keep('Ben: note', { kind: 'note', person: 2, stages: [11], text: '1' }); flush(); }""")
    aside = tablet.get_by_role("region", name="Taps set aside")
    expect(aside).to_contain_text("Ben: odd")
    expect(aside).to_contain_text("It is kept.")
    all_sent(tablet)
    assert notes(served) == [1]
    aside.get_by_role("button", name="Seen").click()
    expect(aside).to_be_hidden()
    assert served.rows("SELECT count(*) FROM set_aside") == [(1,)]


def test_a_restored_shop_is_offered_the_taps_it_lost(served: Served, tablet: Page) -> None:
    """The database is put back to before Ben's taps, as a restore does: his tablet brings them again."""
    open_bench(tablet, served)
    served.stop()
    before = (served.instance / "shop.db").read_bytes()
    served.start()
    start(tablet, "B4")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    served.stop()
    for file in served.instance.glob("shop.db*"):
        file.unlink()
    (served.instance / "shop.db").write_bytes(before)
    served.change("UPDATE head SET database_id = 'restored'")
    served.start()
    choose(tablet, "Ann")
    wait_for("both taps are back", lambda: served.kinds() == ["start", "finish"])


def test_a_killed_browser_keeps_its_taps(served: Served, tmp_path: Path, browser: Browser) -> None:
    """The tablet's battery dies right after "saved", the server being away: next morning they are sent."""
    profile = tmp_path / "profile"
    context = persistent(browser, profile)
    page = context.new_page()
    open_bench(page, served)
    served.kill()
    start(page, "B4")
    press(main_button(page, "Ben: done"))
    expect(page.locator("#unsent")).to_contain_text("saved, not sent: 2")
    kill_processes_of(profile)
    served.start()
    context = persistent(browser, profile)
    open_bench(context.new_page(), served)
    wait_for("both taps came", lambda: served.kinds() == ["start", "finish"])
    context.close()


def persistent(browser: Browser, profile: Path) -> BrowserContext:
    """A browser of its own with its storage in a folder."""
    kind = browser.browser_type
    return kind.launch_persistent_context(profile, executable_path=find_file(), args=flags())


def kill_processes_of(profile: Path) -> None:
    """Kill, without a word, the processes of the one browser that was started on this folder."""
    mark = f"--user-data-dir={profile}".encode()
    own = [int(p.parent.name) for p in Path("/proc").glob("[0-9]*/cmdline") if mark in _read(p).split(b"\0")]
    assert own
    for number in own:
        with suppress(ProcessLookupError):
            os.kill(number, signal.SIGKILL)
    (profile / "SingletonLock").unlink(missing_ok=True)


def _read(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError:
        return b""
