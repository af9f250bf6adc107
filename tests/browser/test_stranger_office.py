"""A stranger's office: past times, a month closed, a new address, a backup put back, a move."""

import json
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest
from playwright.sync_api import Page, expect

from shoptrack.store.migrate import migrate
from tests.browser.served import Served
from tests.browser.shop import afternoon_zone
from tests.browser.stranger import Stranger, begin, bench, done, first_day

WEEKS, DAY_MIN = 104, 24 * 60
BAD = (
    "3/4/2026,a box,,,milling,4,,35,Marit",  # two days could be meant
    "2026-02-30,a box,,,milling,4,,35,Marit",  # no such day
    "2026-02-03,a box,,,dovetailing,4,,35,Marit",  # no such kind in this shop
    "2026-02-03,a box,,,milling,4,,soon,Marit",  # no minutes
)


def empty(folder: Path) -> Served:
    """A database without a shop, on a machine where it is early afternoon, and its server."""
    folder.mkdir(exist_ok=True)
    migrate(f"sqlite:///{folder / 'shop.db'}", folder, datetime.now(UTC))  # noqa: TID251 # as the browser's
    made = Served(folder)
    made.start()
    return made


@pytest.fixture
def two(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Served, Served]]:
    """Two empty instances: the shop's, and that of the machine it moves to."""
    monkeypatch.setenv("TZ", afternoon_zone(datetime.now(UTC)))  # noqa: TID251 # as the browser's
    made = empty(tmp_path / "first"), empty(tmp_path / "second")
    yield made
    for each in made:
        each.stop()


@pytest.mark.timeout(280)
def test_the_office_of_an_inch_shop(two: tuple[Served, Served], tablet: Page, tmp_path: Path) -> None:
    """Sedge & Awl works in inches and °C; one stage is done on the Bench, the rest is of the office."""
    first, second = two
    one = Stranger(tablet, first)
    first_day(one, "Sedge & Awl", "inches", "Ann\nTobin", work="the Fernside inn")
    begin(one, "Ann", "A2", "rough milling")
    one.later(45)
    bench(one, "Ann")
    done(one, "Ann")
    bring_in_past_times(one, tmp_path / "past.csv")
    close_a_month(one)
    renew_the_calendar(one)
    go_back_to_a_backup(one)
    move(one, Stranger(tablet, second), tmp_path)


def bring_in_past_times(one: Stranger, file: Path) -> None:
    """Two years of a table with four bad rows: shown, brought in, and a second time nothing new."""
    newest = datetime.now(UTC).date() - timedelta(days=2)  # noqa: TID251 # as the browser's
    good = [
        f"{newest - timedelta(weeks=n)},boards,,,{('milling', 'glue-up')[n % 2]},{n % 5 + 2},,{30 + n},Ann"
        for n in range(WEEKS)
    ]
    head = "finished_on,job,pattern,stage,kind,measure,unit,minutes,person"
    file.write_text("\n".join([head, *good[:50], *BAD, *good[50:]]))
    for again in (False, True):
        one.office("/files")
        one.follow("Past times")
        one.page.locator("#file").set_input_files(file)
        one.tap("Look through it")
        one.sees("Refused: put these right in the file")
        expect(one.page.locator("table.refused tbody tr")).to_have_count(len(BAD))
        if again:
            one.sees("There is nothing in it that can come in.")
        else:
            one.tap(f"Bring in {WEEKS} rows")
            one.sees(f"{WEEKS} rows came in.")
        assert one.one("SELECT count(*) FROM past_times") == WEEKS


def close_a_month(one: Stranger) -> None:
    """A month later the first one is over: it is closed, and its minutes stay as they are."""
    one.later(32 * DAY_MIN)
    one.office("/months")
    over = one.page.locator("a.closed-job", has_text="over, not closed").last
    over.click()
    one.page.locator(".main-button").click()
    one.sees("these figures stay as they are")
    one.sees("45 min")
    assert one.one("SELECT count(*) FROM months") == 1


def subscribed(address: str) -> int:
    """What a phone is answered that asks for the calendar."""
    try:
        with urlopen(address) as answer:
            return int(answer.status) if answer.read().startswith(b"BEGIN:VCALENDAR") else 0
    except HTTPError as refused:
        return refused.code


def renew_the_calendar(one: Stranger) -> None:
    """The calendar's address is made, and made anew: the old one ends."""
    one.office("/calendar")
    one.tap("Make its address")
    old = one.page.locator(".feed-address").inner_text()
    assert subscribed(old) == 200
    one.follow("Make a new address")
    one.tap("Yes, make a new address")
    new = one.page.locator(".feed-address").inner_text()
    assert (subscribed(old), subscribed(new)) == (404, 200)


def go_back_to_a_backup(one: Stranger) -> None:
    """A backup is found from the Shop, made, and put back: who was added since is gone, the log is not."""
    one.office("/shop")
    one.follow("Backups")
    one.tap("Make one now")
    one.office("/shop/people")
    one.write("name", "Nobody Yet")
    one.tap("Add the person")
    one.sees("Nobody Yet")
    one.office("/backups")
    one.page.locator("a.closed-job").first.click()
    one.sees("No tap was made since then.")
    one.page.get_by_label("yes, put this backup in the shop’s place").check()
    one.tap("Put it in place")
    one.sees("The backup is in place.")
    assert one.served.rows("SELECT name FROM people ORDER BY id") == [("Ann",), ("Tobin",)]
    assert one.served.kinds() == ["start", "finish"]


def taken_out(one: Stranger, file: Path) -> dict[str, object]:
    """The tables of the file that "Take out everything" makes."""
    one.office("/files")
    one.tick("with the photos")
    with one.page.expect_download() as taken:
        one.tap("Take out everything")
    taken.value.save_as(file)
    with zipfile.ZipFile(file) as packed:
        tables: dict[str, object] = json.loads(packed.read("shop.json"))["tables"]
    return tables


def move(one: Stranger, other: Stranger, folder: Path) -> None:
    """Everything is taken out as one file, and brought in on another machine: row for row the same."""
    other.later(one.ahead)
    tables = taken_out(one, folder / "shop.zip")
    other.go("/")
    other.follow("bring it in")
    other.page.locator("#file").set_input_files(folder / "shop.zip")
    other.tap("Put the shop back")
    other.page.wait_for_url(f"{other.served.address}/")
    other.sees("A2 milling")
    again = taken_out(other, folder / "again.zip")
    assert again.keys() == tables.keys()
    assert [name for name in tables if again[name] != tables[name]] == []
    assert other.served.kinds() == one.served.kinds()
