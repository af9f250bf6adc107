"""Who is let in under --lan, and who is refused: a table, each cell of it tried."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import pytest
from flask import Flask

from shoptrack.config import Config
from shoptrack.store import devices
from shoptrack.store.db import Store
from tests.joinery import NOW, BusyDay
from tests.web.tablets import HERE, HTTP, HTTPS, SHOP, Visitor, office_here, open_shop, paired, tap_of

MINUTE = timedelta(minutes=1)


@pytest.fixture
def lan(bare_store: Store, config: Config, day: BusyDay) -> Flask:
    """The small shop on its busy day, by http for tablets too."""
    return open_shop(bare_store, config)


@pytest.fixture
def safe(bare_store: Store, config: Config, day: BusyDay) -> Flask:
    """The same by https."""
    return open_shop(bare_store, config, https=True)


# --- by kind of device ----------------------------------------------------------------------------------

PAGES = {  # what each kind of device is answered: a stranger, the wall, the bench, the office
    "/": (403, 200, 200, 200),
    "/floor": (403, 200, 200, 200),
    "/curing": (403, 200, 200, 200),
    "/bench": (403, 403, 200, 200),
    "/bench/1": (403, 403, 200, 200),
    "/jobs": (403, 403, 200, 200),
    "/jobs/1": (403, 403, 200, 200),
    "/jobs/1/sheet": (403, 403, 200, 200),
    "/set-aside": (403, 403, 200, 200),
    "/api/floor": (403, 403, 200, 200),
    "/api/jobs": (403, 403, 200, 200),
    "/api/openapi.json": (403, 403, 200, 200),
    "/times": (403, 403, 200, 200),
    "/times/1": (403, 403, 200, 200),
    "/times/1/learned": (403, 403, 403, 303),
    "/times/jobs": (403, 403, 200, 200),
    "/times/record": (403, 403, 200, 200),
    "/api/times": (403, 403, 200, 200),
    "/quotes": (403, 403, 403, 303),
    "/quotes/new": (403, 403, 403, 303),
    "/quotes/1": (403, 403, 403, 303),
    "/quotes/1/revise": (403, 403, 403, 303),
    "/quotes/1/sheet": (403, 403, 403, 303),
    "/quotes/1/own-sheet": (403, 403, 403, 303),
    "/quotes/record": (403, 403, 403, 303),
    "/quotes/pays": (403, 403, 403, 303),
    "/jobs/1/quoted": (403, 403, 403, 303),
    "/shop/terms": (403, 403, 403, 303),
    "/shop/hour-cost": (403, 403, 403, 303),
    "/api/quotes": (403, 403, 403, 200),
    "/jobs/new": (403, 403, 403, 303),
    "/devices": (403, 403, 403, 303),
    "/office": (403, 403, 403, 200),
    "/office/pin": (403, 403, 403, 303),
    "/calendar": (403, 403, 403, 303),
    "/nothing-here": (403, 404, 404, 404),
    "/pair": (200, 200, 200, 200),
    "/static/css/base.css": (200, 200, 200, 200),
    "/calendar/guessed.ics": (404, 404, 404, 404),
    "/devices/trust": (404, 404, 404, 404),
}
WHO = ("stranger", "wall", "bench", "office")


@pytest.mark.parametrize("who", WHO)
def test_a_page_is_shown_to_the_devices_that_may_see_it(lan: Flask, bare_store: Store, who: str) -> None:
    """303 leads to the names of the office; 404 is past the door: there is no such thing."""
    visitor = Visitor(lan) if who == "stranger" else paired(lan, bare_store, who)
    found = {}
    for path in PAGES:
        with visitor.get(path) as answer:
            found[path] = answer.status_code
            assert "Sedge Lane" not in answer.text or who != "stranger", path
    assert found == {path: codes[WHO.index(who)] for path, codes in PAGES.items()}


TAPS = {"stranger": 403, "wall": 403, "bench": 200, "office": 200}


@pytest.mark.parametrize("who", WHO)
def test_a_tap_is_taken_from_the_bench_and_the_office(
    lan: Flask, bare_store: Store, day: BusyDay, who: str
) -> None:
    visitor = Visitor(lan) if who == "stranger" else paired(lan, bare_store, who)
    answer = visitor.post("/api/entries", json=tap_of(day.larder["frame"]))
    assert answer.status_code == TAPS[who]
    if TAPS[who] == 403:
        assert answer.content_type == "application/problem+json"
    form = {"id": "form-of-a-test", "kind": "start", "person": "1", "stage": str(day.hall["panel stock"])}
    assert visitor.post("/bench/tap", data=form).status_code == (303 if TAPS[who] == 200 else 403)


def test_the_bench_sees_no_money_and_the_office_does(lan: Flask, bare_store: Store) -> None:
    with bare_store.writing() as session:
        session.connection().exec_driver_sql("UPDATE jobs SET price_cents = 123400 WHERE id = 1")
    assert "1,234" not in paired(lan, bare_store, "bench").get("/jobs/1").text
    assert "1,234" in paired(lan, bare_store, "office").get("/jobs/1").text


# --- by where it comes from ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cell:
    """A way to come with a bench tablet's cookie, and what is answered to a page and to a tap."""

    page: int
    tap: int
    at: str = HTTP
    peer: str = "192.168.1.50"
    host: str | None = None
    origin: str | None = HTTP
    fetch_site: str | None = None


CELLS = {
    "our own page": Cell(200, 200),
    "our own page, by name": Cell(403, 403, at="http://shop.local:8750", origin="http://shop.local:8750"),
    "no origin": Cell(200, 403, origin=None),
    "an empty origin": Cell(200, 403, origin=""),
    "the null origin": Cell(200, 403, origin="null"),
    "another site": Cell(200, 403, origin="http://elsewhere.example"),
    "another port of this host": Cell(200, 403, origin=f"http://{SHOP}:9000"),
    "https for http": Cell(200, 403, origin=f"https://{SHOP}:8750"),
    "our name as another's beginning": Cell(200, 403, origin=f"http://{SHOP}.example:8750"),
    "our origin with a path": Cell(200, 403, origin=f"{HTTP}/"),
    "another of our names": Cell(200, 403, origin="http://shop.local:8750"),
    "no origin but a browser's word for it": Cell(200, 200, origin=None, fetch_site="same-origin"),
    "no origin, from a sister site": Cell(200, 403, origin=None, fetch_site="same-site"),
    "no origin, from another site": Cell(200, 403, origin=None, fetch_site="cross-site"),
    "a name that was pointed at us": Cell(
        400, 400, host="shop.example:8750", origin="http://shop.example:8750"
    ),
    "a name that ends like ours": Cell(400, 400, host="evil-shop.local", origin="http://evil-shop.local"),
    "an address that is another's": Cell(400, 400, host="192.168.1.8:8750", origin="http://192.168.1.8:8750"),
    "no address at all": Cell(400, 400, host="0.0.0.0:8750", origin="http://0.0.0.0:8750"),
    "an empty host": Cell(400, 400, host=""),
    "two hosts": Cell(400, 400, host=f"{SHOP}:8750, shop.example"),
    "a user before the host": Cell(400, 400, host=f"me@{SHOP}:8750"),
    "our IPv6 address": Cell(403, 403, at="http://[fd00::7]:8750", origin="http://[fd00::7]:8750"),
    "another IPv6 address": Cell(400, 400, host="[fd00::8]:8750", origin="http://[fd00::8]:8750"),
    "loopback by name alone": Cell(403, 403, at=HERE, origin=HERE),
    "loopback by name, IPv6": Cell(403, 403, at="http://[::1]:8750", origin="http://[::1]:8750"),
    "the machine by its network name": Cell(
        403, 403, at="http://shop.local:8750", peer="127.0.0.1", origin="http://shop.local:8750"
    ),
}
# 403 at another of our names: a cookie is of one host, so the tablet is not known there


def test_by_origin_and_host(lan: Flask, bare_store: Store, day: BusyDay) -> None:
    visitor = paired(lan, bare_store, "bench")
    found = {name: come(visitor, cell, day.larder["frame"]) for name, cell in CELLS.items()}
    assert found == {name: (cell.page, cell.tap) for name, cell in CELLS.items()}


def come(visitor: Visitor, cell: Cell, stage: int) -> tuple[int, int]:
    """What is answered to the page and to the tap."""
    visitor.at, visitor.peer = cell.at, cell.peer
    headers = {} if cell.host is None else {"Host": cell.host}
    page = visitor.get("/bench", headers=headers)
    assert "Sedge Lane" not in page.text or page.status_code == 200
    if cell.origin is not None:
        headers["Origin"] = cell.origin
    if cell.fetch_site is not None:
        headers["Sec-Fetch-Site"] = cell.fetch_site
    tap = visitor.open("POST", "/api/entries", json=tap_of(stage), headers=headers)
    return page.status_code, tap.status_code


@pytest.mark.parametrize(
    ("at", "peer"),
    [
        (HERE, "127.0.0.1"),
        ("http://localhost:8750", "127.0.0.1"),
        ("http://[::1]:8750", "::1"),
        (HERE, "::ffff:127.0.0.1"),
    ],
)
def test_the_machine_itself_is_the_office(lan: Flask, at: str, peer: str) -> None:
    """Programs on it may ask for documents too."""
    here = Visitor(lan, at, peer)
    assert here.get("/bench").status_code == 200
    assert here.get("/api/jobs").status_code == 200
    assert here.get("/devices").status_code == 303


@pytest.mark.parametrize(
    "peer", ["192.168.1.50", "10.0.0.1", "fe80::1", "::ffff:192.168.1.50", "", "nonsense"]
)
def test_a_loopback_name_is_not_enough(lan: Flask, peer: str) -> None:
    assert Visitor(lan, HERE, peer).get("/bench").status_code == 403


# --- by the key ------------------------------------------------------------------------------------------


def forged(visitor: Visitor, value: str) -> None:
    visitor.client.set_cookie("device", value, domain=SHOP)


KEYS: dict[str, Callable[[Visitor], None]] = {
    "none": lambda v: v.client.delete_cookie("device", domain=SHOP),
    "made up": lambda v: forged(v, "0" * 64),
    "empty": lambda v: forged(v, ""),
    "very long": lambda v: forged(v, "a" * 3000),
    "not letters": lambda v: forged(v, "%00%ff"),
}


@pytest.mark.parametrize("name", KEYS)
def test_a_key_that_is_no_devices(lan: Flask, bare_store: Store, name: str) -> None:
    visitor = paired(lan, bare_store, "office")
    assert visitor.get("/bench").status_code == 200
    KEYS[name](visitor)
    assert visitor.get("/bench").status_code == 403
    assert visitor.get("/api/floor").status_code == 403


def test_the_hash_that_is_kept_is_no_key(lan: Flask, bare_store: Store) -> None:
    """Whoever gets hold of a backup can't come in with what it has."""
    visitor = paired(lan, bare_store, "bench")
    with bare_store.reading() as session:
        (row,) = devices.list_devices(session)
    forged(visitor, row.key_hash)
    assert visitor.get("/bench").status_code == 403


def test_a_device_that_is_sent_away_is_out_at_once(lan: Flask, bare_store: Store, day: BusyDay) -> None:
    visitor, here = paired(lan, bare_store, "bench"), office_here(lan)
    here.post("/office", data={"person": "1"})
    assert here.post("/devices/1/away").status_code == 303
    assert visitor.get("/bench").status_code == 403
    refused = visitor.post("/api/entries", json=tap_of(day.larder["frame"]))
    assert refused.status_code == 403
    assert "not paired" in refused.get_json(force=True)["detail"]


def test_the_cookie_is_for_this_host_and_no_script(lan: Flask, safe: Flask, bare_store: Store) -> None:
    for app, at, name in ((lan, HTTP, "device="), (safe, HTTPS, "__Host-device=")):
        code = "SAFE" if app is safe else "PLAIN"
        with bare_store.writing() as session:
            devices.offer(session, code, code, "bench", NOW)
        said = Visitor(app, at).post("/pair", data={"code": code, "id": "a"}).headers["Set-Cookie"]
        assert said.startswith(name)
        for part in ("HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=34560000"):
            assert part in said
        assert ("Secure" in said) == (at == HTTPS)
        assert "Domain" not in said
