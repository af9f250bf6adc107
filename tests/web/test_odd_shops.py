"""Shops not as others: far zones, wrong clocks, nothing left to choose, strange words, a lot of it all."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from shoptrack.config import Config
from shoptrack.store import shop
from shoptrack.web import create_app
from tests.crawled import crawl
from tests.joinery import LONG_AGO, NOW, Joinery, kept
from tests.web.conftest import ORIGIN

Change = Callable[[Joinery], None]
WORDS = (
    ("jobs", "title"),
    ("jobs", "notes"),
    ("customers", "name"),
    ("people", "name"),
    ("stages", "name"),
    ("stages", "settings"),
    ("shop", "name"),
)
THINGS = ("rooms", "pools", "stage_kinds", "stations", "recipes", "patterns", "tools")


def set_to(value: str, *columns: tuple[str, str]) -> Change:
    """Everything in some columns of some tables is one value."""

    def change(joinery: Joinery) -> None:
        with joinery.store.writing() as session:
            for table, column in columns:
                session.execute(text(f'UPDATE "{table}" SET {column} = :value'), {"value": value})

    return change


def much(joinery: Joinery) -> None:
    """Sixty more open jobs, and forty more pools of clamps, one of them empty."""
    for n in range(60):
        joinery.add(("tray", "door")[n % 2], f"job {n}", date(2026, 12, 1) + timedelta(days=n))
    with joinery.store.writing() as session:
        for n in range(40):
            shop.make_pool(session, f"pool {n}", reach_mm=100 + 50 * n, owned=n, from_at=LONG_AGO)


def as_it_is(_: Joinery) -> None:
    """Nothing is odd but the time."""


GONE = "2026-01-01 00:00:00.000000"
ODD: dict[str, tuple[Change, datetime]] = {
    "half an hour and fifteen minutes off": (set_to("Pacific/Chatham", ("shop", "zone")), NOW),
    "half an hour of summer time": (set_to("Australia/Lord_Howe", ("shop", "zone")), NOW),
    "the hour that comes twice": (as_it_is, datetime(2026, 11, 1, 6, 30, tzinfo=UTC)),
    "the hour that is not": (as_it_is, datetime(2027, 3, 14, 7, 0, tzinfo=UTC)),
    "a clock from before the shop": (as_it_is, datetime(1999, 12, 31, 23, 59, tzinfo=UTC)),
    "a clock far ahead": (as_it_is, datetime(2029, 12, 31, tzinfo=UTC)),
    "nobody works here": (set_to(GONE, ("people", "retired_at")), NOW),
    "nothing is left to choose": (set_to(GONE, *((t, "retired_at") for t in THINGS)), NOW),
    "no stages are left": (set_to("2026-11-25 12:00:00.000000", ("stages", "removed_at")), NOW),
    "much of all": (much, NOW),
    "quotes and tags": (set_to("\"'`<b>&amp;{{7*7}}{% x %}=1+1", *WORDS), NOW),
    "letters from the right": (set_to("\u202eevil\u2066\u200f\u05d0🪵", *WORDS), NOW),
    "four thousand letters": (set_to("x" * 4000, *WORDS), NOW),
}


@pytest.mark.parametrize("name", ODD)
def test_every_page_of_an_odd_shop_opens(name: str, tmp_path: Path) -> None:
    """All pages that links lead to, each kind once, and the calendar that is subscribed to."""
    change, now = ODD[name]
    store = kept("busy").put(tmp_path)
    try:
        change(kept("busy").joinery(store))
        url = f"sqlite:///{tmp_path / 'shop.db'}"
        app = create_app(store, Config(instance=tmp_path, database_url=url))
        app.config["NOW"] = lambda: now
        client = app.test_client()
        client.post("/office", data={"person": "1"}, headers=ORIGIN)
        pages = dict(crawl(client, each=1))  # asserts that each of them answers 200
        assert len(pages) >= 25
        assert not [page for page, shown in pages.items() if "Traceback" in shown or "<b>&amp;" in shown]
        for path in ("/weeks", "/months", "/curing", "/shop/days-off", "/calendar"):
            assert client.get(path, follow_redirects=True).status_code == 200, path
    finally:
        store.close()
