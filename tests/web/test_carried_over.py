"""What was learned and quoted stands on the pages as before when a shop is restored or brought in anew."""

import re
from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from itertools import count
from pathlib import Path

import pytest

from shoptrack.config import Config
from shoptrack.flows import foretold
from shoptrack.flows.bring_in_everything import bring_shop
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.log_answers import answer_log
from shoptrack.flows.take_out import document_of_everything, zip_of_everything
from shoptrack.store import backup, log
from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate
from shoptrack.store.restore import restore, restore_live
from shoptrack.web import create_app
from tests.flows.quoting.shop import price_all
from tests.flows.test_quoted_against import taken, work
from tests.flows.worked import mill
from tests.joinery import NOW, UNA, Joinery, at
from tests.web.conftest import ORIGIN

PAGES = (
    "/times", "/times/1", "/times/record", "/times/jobs", "/quotes", "/quotes/1", "/quotes/1/sheet",
    "/quotes/record", "/quotes/pays",
)  # fmt: skip
CHANGES = re.compile(r'name="(?:id|form_id)" value="[^"]*"|\?v=[0-9a-f]+')
"""What is new each time a page is shown: the hidden ids of its forms."""


def lived_in(joinery: Joinery) -> Store:
    """Eight times of milling, one of them left out, and two quotes that were taken, worked and closed."""
    price_all(joinery)
    mill(joinery, [35, 40, 38, 41, 36, 39, 37, 200])
    for n in range(2):
        door = taken(joinery, n)
        work(joinery, door["frame"], 90 + 20 * n, at("8:00", -4 + n))
        work(joinery, door["put together"], 45, at("10:00", -4 + n))
        set_closed(joinery.store, door["job"], True, None, NOW - timedelta(hours=2 - n))
    foretold.settle(joinery.store, NOW)
    answer_log(joinery.store, "s36", False, UNA, NOW)
    return joinery.store


def pages(store: Store) -> dict[str, str]:
    app = create_app(store, Config(instance=store.instance, database_url=f"sqlite:///{store.path}"))
    app.config.update(TESTING=True, NOW=lambda: NOW)
    client = app.test_client()
    client.post("/office", data={"person": "1"}, headers=ORIGIN)
    found = {path: client.get(path) for path in PAGES}
    assert {answer.status_code for answer in found.values()} == {200}
    return {path: CHANGES.sub("", answer.text) for path, answer in found.items()}


def brought_in(said: bytes, folder: Path) -> Store:
    folder.mkdir()
    url = f"sqlite:///{folder / 'shop.db'}"
    migrate(url, folder, NOW)
    empty = open_store(url, folder)
    bring_shop(empty, BytesIO(said))
    return empty


def from_zip(store: Store, folder: Path) -> Store:
    return brought_in(b"".join(zip_of_everything(store, NOW, photos=True)), folder)


def from_document(store: Store, folder: Path) -> Store:
    return brought_in(b"".join(document_of_everything(store, NOW)), folder)


def restored(store: Store, folder: Path) -> Store:
    """From a backup of a shop that was moved, into a folder where there is nothing."""
    moved = from_zip(store, folder)
    file = backup.make(moved.path, moved.instance, NOW)
    moved.close()
    new = folder / "new"
    new.mkdir()
    restore(file, new / "shop.db", new, NOW)
    return open_store(f"sqlite:///{new / 'shop.db'}", new)


def restored_live(store: Store, folder: Path) -> Store:
    """Under a running server that has learned other things since the backup was made."""
    moved = from_zip(store, folder)
    file = backup.make(moved.path, moved.instance, NOW)
    with moved.reading() as session:
        next_seq = log.next_seq(session, "tablet")
    shop = Joinery(moved, {}, {"tray": 1}, count(next_seq))
    mill(shop, [45, 46], first=-2)
    foretold.settle(moved, NOW)
    assert pages(moved)["/times/1"] != pages(store)["/times/1"]
    restore_live(moved, file, NOW)
    return moved


@pytest.mark.parametrize("carried", [from_zip, from_document, restored, restored_live])
def test_every_page_says_the_same(
    joinery: Joinery, tmp_path: Path, carried: Callable[[Store, Path], Store]
) -> None:
    before = pages(lived_in(joinery))
    store = carried(joinery.store, tmp_path / "other")
    after = pages(store)
    store.close()
    for path in PAGES:
        assert after[path] == before[path], path
