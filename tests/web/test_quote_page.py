"""What a quote's page and sheets rest on: the revision asked for, its dates, and what changed when."""

from datetime import date, timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.quoting import answers, drafts
from shoptrack.web.quote_page import QuotePage, quote_page
from shoptrack.web.render import Wall
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import NOW, UNA, ZONE, Joinery

WALL = Wall(zone=ZONE)
TODAY = date(2026, 11, 25)


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def page(joinery: Joinery, quote: int, number: int | None = None, days: int = 0) -> QuotePage:
    with joinery.store.reading() as session:
        return quote_page(session, quote, number, NOW + timedelta(days=days), WALL)


def test_a_draft_is_dated_as_if_it_went_today(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    found = page(joinery, quote, days=3)
    assert (found.standing, found.dated_on, found.holds_until_on) == (
        "draft",
        date(2026, 11, 28),
        date(2026, 12, 28),
    )
    assert (found.customer, found.job_id, found.job_tag, found.answered) == ("Odile Marr", None, "", False)


def test_what_went_out_keeps_its_dates(joinery: Joinery, wood: int) -> None:
    """Seven weeks later it has lapsed, and its sheet still says what it said."""
    quote = made(joinery, tray(joinery, wood))
    answers.put_out(joinery.store, quote, 1, UNA, NOW, date(2026, 12, 4))
    found = page(joinery, quote, days=49)
    assert (found.standing, found.dated_on, found.holds_until_on) == ("lapsed", TODAY, date(2026, 12, 4))


def test_each_revision_says_what_is_new_in_it(joinery: Joinery, wood: int) -> None:
    wanted = tray(joinery, wood)
    quote = made(joinery, wanted)
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, title="a tray", pieces=1), UNA, NOW)
    found = page(joinery, quote)
    assert [(r.number, r.who) for r in found.revisions] == [(2, "Una"), (1, "Una")]
    assert found.revisions[1].changes == ()
    assert {(c.what, c.before, c.after) for c in found.revisions[0].changes} >= {
        ("title", "two trays", "a tray"),
        ("pieces", 2, 1),
    }
    older = page(joinery, quote, 1)
    assert (found.is_newest, older.is_newest, older.title, older.newest) == (True, False, "two trays", 2)
    assert older.dated_on == TODAY


def test_what_is_not_there(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    for asked in ((quote, 2), (quote + 1, None)):
        with pytest.raises(NotFound):
            page(joinery, *asked)
