"""A code that is brought once, in time, pairs one device; anything else pairs none."""

import threading
from datetime import timedelta

import pytest
from flask import Flask

from shoptrack.config import Config
from shoptrack.store import devices
from shoptrack.store.db import Store
from shoptrack.store.tables import DeviceRow, PairingRow
from shoptrack.web.pairing import read_code
from tests.joinery import NOW
from tests.web.tablets import Visitor, open_shop, paired

CODE = "ABCD2345EFGH6723"


@pytest.fixture
def lan(bare_store: Store, config: Config) -> Flask:
    return open_shop(bare_store, config)


def offered(store: Store, kind: str = "bench") -> None:
    with store.writing() as session:
        devices.offer(session, CODE, "by the door", kind, NOW)


def bring(visitor: Visitor, code: str = CODE, form: str = "a form") -> int:
    return visitor.post("/pair", data={"code": code, "id": form}).status_code


@pytest.mark.parametrize(("kind", "way"), [("bench", "/bench"), ("wall", "/"), ("office", "/shop")])
def test_a_code_lets_a_device_in_and_leads_on(lan: Flask, bare_store: Store, kind: str, way: str) -> None:
    offered(bare_store, kind)
    visitor = Visitor(lan)
    assert visitor.get("/").status_code == 403
    answer = visitor.post("/pair", data={"code": CODE, "id": "a form"})
    assert (answer.status_code, answer.location) == (303, way)
    assert visitor.get("/").status_code == 200
    assert "paired already, as “by the door”" in visitor.get("/pair").text


@pytest.mark.parametrize("typed", ["abcd 2345 efgh 6723", " ABCD-2345-EFGH-6723 ", "abcd2345efgh6723"])
def test_a_code_may_be_typed_as_one_likes(lan: Flask, bare_store: Store, typed: str) -> None:
    offered(bare_store)
    assert bring(Visitor(lan), typed) == 303


def test_what_is_easily_mistyped_is_read_as_meant() -> None:
    """The 32 signs of a code have no 0, 1 or 8. Source: RFC 4648 section 6."""
    assert read_code("o0 i1 b8") == "OOIIBB"


@pytest.mark.parametrize("code", ["", "   ", "ABCD2345EFGH6722", "<script>", "=1+1", "😀", "x" * 300])
def test_another_code_lets_nobody_in(lan: Flask, bare_store: Store, code: str) -> None:
    offered(bare_store)
    visitor = Visitor(lan)
    answer = visitor.post("/pair", data={"code": code, "id": "a form"})
    assert answer.status_code in (400, 403)
    assert 'aria-invalid="true"' in answer.text
    assert "<script>" not in answer.text.replace('<script type="module"', "")
    assert "Set-Cookie" not in answer.headers
    assert visitor.get("/").status_code == 403


def test_a_code_is_good_for_ten_minutes(lan: Flask, bare_store: Store) -> None:
    offered(bare_store)
    lan.config["NOW"] = lambda: NOW + timedelta(minutes=10)
    assert bring(Visitor(lan)) == 403
    lan.config["NOW"] = lambda: NOW + timedelta(minutes=10) - timedelta(microseconds=1)
    assert bring(Visitor(lan)) == 303


def test_a_code_is_good_once(lan: Flask, bare_store: Store) -> None:
    offered(bare_store)
    assert bring(Visitor(lan), form="one") == 303
    assert bring(Visitor(lan), form="another") == 403


def test_the_same_form_sent_twice_is_one_device(lan: Flask, bare_store: Store) -> None:
    """A double tap: the answer to the first is lost, that to the second has the same key."""
    offered(bare_store)
    answers = [Visitor(lan).post("/pair", data={"code": CODE, "id": "one"}) for _ in range(2)]
    assert [a.status_code for a in answers] == [303, 303]
    assert len({a.headers["Set-Cookie"] for a in answers}) == 1
    with bare_store.reading() as session:
        assert len(devices.list_devices(session)) == 1


def test_of_many_at_once_one_gets_in(lan: Flask, bare_store: Store) -> None:
    offered(bare_store)
    go, codes = threading.Barrier(8), list[int]()

    def try_it(n: int) -> None:
        visitor = Visitor(lan)
        go.wait()
        codes.append(bring(visitor, form=f"form {n}"))

    threads = [threading.Thread(target=try_it, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(codes) == [303] + [403] * 7
    with bare_store.reading() as session:
        assert session.query(DeviceRow).count() == 1


def test_neither_code_nor_key_is_kept(lan: Flask, bare_store: Store) -> None:
    visitor = paired(lan, bare_store, "bench")
    key = visitor.client.get_cookie("device", domain="192.168.1.7")
    assert key is not None
    assert len(key.value) == 64
    with bare_store.reading() as session:
        (pairing,), (device,) = session.query(PairingRow).all(), session.query(DeviceRow).all()
        kept = [str(v) for row in (pairing, device) for v in vars(row).values()]
    assert not any("CODEBENCH" in v or key.value in v for v in kept)


def test_a_device_that_is_paired_again_is_one_device(lan: Flask, bare_store: Store) -> None:
    visitor = paired(lan, bare_store, "bench")
    offered(bare_store, "office")
    assert bring(visitor) == 303
    with bare_store.reading() as session:
        assert [d.kind for d in devices.list_devices(session)] == ["office"]


def test_a_foreign_page_can_pair_nothing(lan: Flask, bare_store: Store) -> None:
    offered(bare_store)
    sent = {"code": CODE, "id": "a form"}
    for origin in ("http://elsewhere.example", "null"):
        assert Visitor(lan).post("/pair", data=sent, headers={"Origin": origin}).status_code == 403
    assert bring(Visitor(lan)) == 303
