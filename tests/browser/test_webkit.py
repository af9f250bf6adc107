"""The Bench and its outbox on WebKit, the engine of iPads: a smoke test, skipped where there is none."""

import pytest

from tests.browser.served import Served, wait_for
from tests.browser.webkit import WebKit, missing, webkit

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "there is one")

NAME = """return [...document.querySelectorAll('[data-who]')]
  .find((link) => link.textContent.includes(arguments[0]))"""
START = """return [...document.querySelectorAll('.next [data-stage]')]
  .find((row) => row.textContent.includes(arguments[0]) && row.offsetParent)?.querySelector('form button')"""
MAIN = """return [...document.querySelectorAll('#hand .mains button')]
  .find((button) => button.textContent.includes(arguments[0]))"""


def unsent_is(page: WebKit, words: str) -> None:
    wait_for(f"“{words}”, not “{page.text('#unsent')}”", lambda: words in page.text("#unsent"), 60)


def test_taps_made_without_a_network_arrive_when_it_is_back(served: Served) -> None:
    """Start; the network goes; done, and another start; it comes back: three taps, in order, once each."""
    with webkit() as page:
        page.open(f"{served.address}/bench")
        wait_for(
            "the scripts run", lambda: page.script("return document.documentElement.dataset.script") == "on"
        )
        page.tap(NAME, "Ben")
        wait_for("Ben's page", lambda: "Ben" in page.text(".who[aria-current]"))
        page.tap(START, "B4")
        unsent_is(page, "all taps sent")
        assert served.kinds() == ["start"]
        served.stop()
        page.tap(MAIN, "Ben: done")
        unsent_is(page, "saved, not sent: 1")
        page.tap(START, "X3")
        unsent_is(page, "saved, not sent: 2")
        assert "X3" in page.text("#hand h1")
        served.start()
        unsent_is(page, "all taps sent")
        assert served.kinds() == ["start", "finish", "start"]
        people = served.rows("SELECT DISTINCT person_id FROM entries")
        assert people == [(2,)]


def test_a_page_that_is_loaded_anew_still_holds_what_was_unsent(served: Served) -> None:
    """The tablet kept a tap while the server was away; its page is opened again when that is back."""
    with webkit() as page:
        page.open(f"{served.address}/bench/2")
        wait_for(
            "the scripts run", lambda: page.script("return document.documentElement.dataset.script") == "on"
        )
        served.stop()
        page.tap(START, "B4")
        unsent_is(page, "saved, not sent: 1")
        served.start()
        page.open(f"{served.address}/bench/2")
        unsent_is(page, "all taps sent")
        assert served.kinds() == ["start"]
