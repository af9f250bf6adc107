"""Taps from two tablets through Wi-Fi cuts, killed servers and wrong clocks, counted at the end.

Run as ``python -m tests.bench.chaos --taps 1000``. Both tablets see the shop by a name that a browser does
not trust, as on a shop's own network. Exit status 1 when a tap is lost, doubled or out of its order.
"""

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser import shop
from tests.browser.finder import INSTALL, launch
from tests.browser.served import Served, wait_for

RESOLVE = "--host-resolver-rules=MAP shop.test 127.0.0.1"
CLOCKS_DAYS = (-400, 400)
PATIENCE_S = 180.0
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


@dataclass
class Count:
    """What was done and what came of it; ``off_s`` is how far the worst time of a tap was off."""

    taps: int = 0
    cuts: int = 0
    kills: int = 0
    deaths: int = 0
    lost: int = 0
    doubled: int = 0
    reordered: int = 0
    set_aside: int = 0
    off_s: float = 0.0

    @property
    def clean(self) -> bool:
        return not (self.lost or self.doubled or self.reordered or self.set_aside)

    def __str__(self) -> str:
        return (
            f"{self.taps} taps, {self.cuts} Wi-Fi cuts, {self.kills} server kills, {self.deaths} deaths "
            f"between commit and reply: lost {self.lost}, doubled {self.doubled}, "
            f"reordered {self.reordered}, set aside {self.set_aside}; times off by {self.off_s:.2f} s at most"
        )


def run(browser: Browser, instance: Path, taps: int, kills: int, rng: random.Random) -> Count:
    """Make the taps with everything going wrong meanwhile, wait until all is quiet, and count."""
    shop.make(instance, datetime.now(UTC))  # noqa: TID251 # the browser's clock is the machine's
    served = Served(instance)
    served.start()
    try:
        pages = [_tablet(browser, served, days) for days in CLOCKS_DAYS]
        count, made = Count(taps=taps), _make(served, pages, taps, kills, rng)
        count.cuts, count.kills, count.deaths, tapped_at = made
        for page in pages:
            page.context.set_offline(False)
        for page in pages:
            wait_for("all taps are sent", lambda page=page: _is_quiet(served, page), PATIENCE_S)
        _judge(count, served, tapped_at)
        return count
    finally:
        served.stop()


def _tablet(browser: Browser, served: Served, days: int) -> Page:
    context = browser.new_context()
    context.add_init_script(CLOCK % (days * 86_400_000))
    page = context.new_page()
    page.goto(f"{served.lan_address}/bench/2")
    page.wait_for_selector("html[data-script=on]")
    return page


def _unsent(page: Page) -> int:
    ask = "import('/static/js/outbox.js').then((outbox) => outbox.counts()).then((now) => now.unsent.length)"
    return int(page.evaluate(ask))


def _is_quiet(served: Served, page: Page) -> bool:
    """Whether a tablet has nothing left to send; a server that died at its last answer is started again."""
    if served.dead:
        served.start()
    return _unsent(page) == 0


def _make(
    served: Served, pages: list[Page], taps: int, kills: int, rng: random.Random
) -> tuple[int, int, int, dict[tuple[int, int], float]]:
    """Tap in small bursts; between them cut and mend the Wi-Fi, kill and start the server."""
    bursts = _bursts(taps, rng)
    fatal = set(rng.sample(range(len(bursts)), min(kills, len(bursts))))
    cuts = plain = deaths = 0
    next_of, cut_off = [1 for _ in pages], set[int]()
    tapped_at: dict[tuple[int, int], float] = {}
    for place, burst in enumerate(bursts):
        which = rng.randrange(len(pages))
        if served.dead:
            served.start()
        if rng.random() < 0.35:
            tablet = rng.randrange(len(pages))
            cut_off ^= {tablet}
            pages[tablet].context.set_offline(tablet in cut_off)
            cuts += tablet in cut_off
        if place in fatal and rng.random() < 0.4:
            served.dies_before_the_next_answer()
            deaths += 1
        before = time.time()  # noqa: TID251 # what the log is held against
        pages[which].evaluate(KEEP, [next_of[which], burst, which + 1])
        for n in range(next_of[which], next_of[which] + burst):
            tapped_at[which + 1, n] = before
        next_of[which] += burst
        if place in fatal and not (served.instance / "die").exists():
            served.kill()
            plain += 1
    return cuts, plain, deaths, tapped_at


def _bursts(taps: int, rng: random.Random) -> list[int]:
    found: list[int] = []
    while sum(found) < taps:
        found.append(min(rng.randint(1, 8), taps - sum(found)))
    return found


def _judge(count: Count, served: Served, tapped_at: dict[tuple[int, int], float]) -> None:
    rows = served.rows(
        "SELECT person_id, CAST(json_extract(body, '$.text') AS INTEGER),"
        " (julianday(at) - 2440587.5) * 86400, device, seq FROM entries"
        " WHERE kind = 'note' ORDER BY at, device, seq"
    )
    found = [(int(str(p)), int(str(n)), float(str(at))) for p, n, at, *_ in rows]
    times = Counter((p, n) for p, n, _ in found)
    count.lost = sum(1 for tap in tapped_at if tap not in times)
    count.doubled = sum(n - 1 for n in times.values())
    for person in (1, 2):
        own = [n for p, n, _ in found if p == person]
        count.reordered += sum(1 for a, b in pairwise(own) if b < a)
    count.set_aside = int(str(served.rows("SELECT count(*) FROM set_aside")[0][0]))
    count.off_s = max((abs(at - tapped_at[p, n]) for p, n, at in found if (p, n) in tapped_at), default=0.0)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--taps", type=int, default=1000)
    asked.add_argument("--kills", type=int, default=0, help="server kills; else one for 20 taps")
    asked.add_argument("--seed", type=int, default=7)
    given = asked.parse_args()
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = launch(playwright.chromium, RESOLVE)
        if browser is None:
            print(f"no browser here; install one with: {INSTALL}")
            return 1
        kills = given.kills or max(1, given.taps // 20)
        count = run(browser, Path(folder), given.taps, kills, random.Random(given.seed))
        browser.close()
    print(count)
    return 0 if count.clean else 1


if __name__ == "__main__":
    sys.exit(main())
