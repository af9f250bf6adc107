"""The cookie of a paired device by https and http, what http is left for, and when a device was seen."""

from datetime import timedelta

import pytest
from flask import Flask

from shoptrack.config import Config
from shoptrack.store.db import Store, head
from shoptrack.store.tables import DeviceRow
from tests.joinery import NOW, BusyDay
from tests.web.tablets import HTTPS, SHOP, Visitor, office_here, open_shop, paired, tap_of

MINUTE = timedelta(minutes=1)


@pytest.fixture
def lan(bare_store: Store, config: Config, day: BusyDay) -> Flask:
    """The small shop on its busy day, by http for tablets too."""
    return open_shop(bare_store, config)


@pytest.fixture
def safe(bare_store: Store, config: Config, day: BusyDay) -> Flask:
    """The same by https."""
    return open_shop(bare_store, config, https=True)


def test_a_key_that_went_by_plain_http_opens_nothing_by_https(
    safe: Flask, lan: Flask, bare_store: Store
) -> None:
    """Anyone on the Wi-Fi may have read it."""
    old = paired(lan, bare_store, "bench")
    key = old.client.get_cookie("device", domain=SHOP)
    assert key is not None
    new = Visitor(safe, HTTPS)
    new.client.set_cookie("__Host-device", key.value, domain=SHOP)
    assert new.get("/bench").status_code == 403
    assert paired(safe, bare_store, "bench", HTTPS, "new").get("/bench").status_code == 200


def test_by_http_only_what_empties_a_tablet_is_left(
    safe: Flask, lan: Flask, bare_store: Store, day: BusyDay
) -> None:
    """A tablet that was paired by http still sends its taps there, and is shown the way for all else."""
    old = paired(lan, bare_store, "bench")
    old.client.application = safe
    for path in ("/", "/bench", "/bench/1", "/jobs/1", "/pair", "/devices", "/api/floor", "/nothing"):
        answer = old.get(path)
        assert answer.status_code == 410, path
        assert path.startswith("/api/") or "moved to https" in answer.text
    assert old.post("/bench/tap", data={"kind": "start"}).status_code == 410
    with old.get("/static/js/moved.js") as script:
        assert script.status_code == 200
    assert old.post("/api/entries", json=tap_of(day.larder["frame"])).status_code == 200
    assert Visitor(safe).post("/api/entries", json=tap_of(day.larder["frame"])).status_code == 403
    assert office_here(safe).get("/bench").status_code == 200


def test_the_way_is_shown_only_when_nothing_is_unsent(safe: Flask) -> None:
    """It is hidden in the page, until a script knows; without scripts there is nothing unsent."""
    page = Visitor(safe).get("/bench").text
    assert '<section class="part" id="way" hidden>' in page
    before, _, after = page.partition("<noscript>")
    assert f'href="{HTTPS}/pair"' in before
    assert f'href="{HTTPS}/pair"' in after


def test_a_look_at_the_floor_writes_only_every_few_minutes(lan: Flask, bare_store: Store) -> None:
    """And then without moving the head: what every tablet has is still good."""
    wall = paired(lan, bare_store, "wall")
    with bare_store.reading() as session:
        before = head(session)

    def seen_after(minutes: int) -> object:
        lan.config["NOW"] = lambda: NOW + minutes * MINUTE
        answer = wall.get("/")
        with bare_store.reading() as session:
            row = session.get(DeviceRow, 1)
        assert row is not None
        return row.seen_at == NOW + minutes * MINUTE, "Set-Cookie" in answer.headers

    assert [seen_after(m) for m in (1, 4, 5, 9, 10)] == [
        (False, False),
        (False, False),
        (True, True),
        (False, False),
        (True, True),
    ]
    with bare_store.reading() as session:
        assert head(session) == before
