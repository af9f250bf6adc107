"""What is reckoned beside the server: the day of a quote, the chances of open jobs."""

from collections.abc import Iterator
from concurrent.futures import Future
from datetime import date
from threading import Event
from typing import Any, cast

import pytest

from shoptrack.engine.outlook import Ahead, Outlook, look_ahead
from shoptrack.flows.planning import planner, reckoned
from shoptrack.flows.planning.outlook import last_outlooks
from shoptrack.flows.planning.planner import Planner
from shoptrack.flows.planning.reckoned import QuoteDate, date_of_quote, reckon_anyway, refresh_outlooks
from shoptrack.flows.shopfloor import gather
from shoptrack.store.promised_dates import kept_and_missed
from shoptrack.store.quotes import quote_row
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import NOW, Joinery


class Slow:
    """Stands in for a planner whose worker answers when it is let."""

    def __init__(self, trouble: str = "") -> None:
        self.go, self.trouble, self.asked = Event(), trouble, 0

    def work_out(self, job: str, given: Ahead) -> "Future[Outlook]":
        assert job == "outlook"
        self.asked += 1
        assert self.go.wait(60)
        found: Future[Outlook] = Future()
        if self.trouble:
            found.set_exception(RuntimeError(self.trouble))
        else:
            found.set_result(look_ahead(given))
        return found


@pytest.fixture
def slow(joinery: Joinery) -> Iterator[Slow]:
    own = Slow()
    planner.PLANNERS[joinery.store] = cast(Planner, own)
    yield own
    own.go.set()
    planner.PLANNERS.pop(joinery.store, None)


def a_quote(joinery: Joinery) -> tuple[int, int]:
    quote = made(joinery, tray(joinery, price_all(joinery)))
    with joinery.store.reading() as session:
        return quote, quote_row(session, quote).revisions[-1].id


def until(joinery: Joinery, quote: int, revision: int, wanted: Any) -> QuoteDate:
    """Look as the page does until it is as wanted."""
    for _ in range(600):
        found = date_of_quote(joinery.store, quote, revision, NOW, begin=True)
        if wanted(found):
            return found
        Event().wait(0.05)
    raise AssertionError(found)


def test_a_page_waits_and_asks_only_once(joinery: Joinery, slow: Slow) -> None:
    quote, revision = a_quote(joinery)
    for _ in range(3):
        assert date_of_quote(joinery.store, quote, revision, NOW, begin=True) == QuoteDate(waiting=True)
    slow.go.set()
    found = until(joinery, quote, revision, lambda shown: shown.promise is not None)
    assert found.promise is not None
    assert found.promise.p80_on is not None
    assert slow.asked == 2  # with the quote, and without it


def test_a_worker_that_fails_is_said_and_can_be_asked_again(joinery: Joinery, slow: Slow) -> None:
    quote, revision = a_quote(joinery)
    slow.trouble = "no room"
    slow.go.set()
    found = until(joinery, quote, revision, lambda shown: bool(shown.trouble))
    assert found == QuoteDate(trouble="no room")
    slow.trouble = ""
    reckon_anyway(joinery.store, quote, revision, NOW)
    assert until(joinery, quote, revision, lambda shown: shown.promise is not None).promise is not None


def test_an_old_revision_or_one_without_a_planner_is_not_begun(joinery: Joinery) -> None:
    quote, revision = a_quote(joinery)
    assert date_of_quote(joinery.store, quote, revision, NOW, begin=True) == QuoteDate()
    planner.PLANNERS[joinery.store] = cast(Planner, Slow())
    assert date_of_quote(joinery.store, quote, revision, NOW, begin=False) == QuoteDate()
    planner.PLANNERS.pop(joinery.store)


def test_the_chance_of_each_open_job_is_kept_and_written_once_for_each_date(joinery: Joinery) -> None:
    near = joinery.add("tray", "soon", date(2026, 11, 26))["job"]
    far = joinery.add("tray", "later", date(2027, 3, 1))["job"]
    free = joinery.add("door", "any day", None)["job"]
    found = refresh_outlooks(joinery.store, NOW)
    assert found.of[near].chance == 0.0
    assert found.of[far].chance == 1.0
    assert found.of[free].chance is None
    assert found.of[free].p80_on is not None
    assert last_outlooks(joinery.store, gather(joinery.store, NOW)) is found
    with joinery.store.reading() as session:
        assert {(d.job, d.chance) for d in kept_and_missed(session)} == {(near, 0.0), (far, 1.0)}
    before = gather(joinery.store, NOW).head
    refresh_outlooks(joinery.store, NOW)
    assert gather(joinery.store, NOW).head == before


def test_nothing_is_known_of_another_database(joinery: Joinery) -> None:
    assert last_outlooks(joinery.store, gather(joinery.store, NOW)) is None
    assert reckoned.HOW
