"""A short run of the long one: nothing lost, nothing doubled, nothing out of order."""

import random
from pathlib import Path

from playwright.sync_api import Browser

from tests.bench.chaos import run


def test_sixty_taps_and_three_killed_servers(browser: Browser, tmp_path: Path) -> None:
    """Two tablets whose clocks are 400 days off, on a name the browser does not trust, with Wi-Fi cuts."""
    count = run(browser, tmp_path, taps=60, kills=3, rng=random.Random(11))
    assert (count.lost, count.doubled, count.reordered, count.set_aside) == (0, 0, 0, 0)
    assert count.kills + count.deaths == 3
    assert count.cuts > 0
    assert count.off_s < 10
