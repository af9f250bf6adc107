"""Codes that pair once and in time, devices that are known by a key of which only the hash is kept."""

from datetime import timedelta

import pytest

from shoptrack.errors import NotAllowed, NotFound
from shoptrack.store import devices
from shoptrack.store.db import Store, head
from shoptrack.store.tables import DeviceRow
from tests.joinery import NOW

AT = "http://192.168.1.7:8750"


def pair(store: Store, code: str = "CODE", key: str = "key", at: str = AT) -> int:
    with store.writing() as session:
        if code == "CODE":
            devices.offer(session, code, "tablet", "bench", NOW)
        return devices.pair(session, code, key, at, NOW).id


def test_a_code_is_used_up(bare_store: Store) -> None:
    first = pair(bare_store)
    with bare_store.writing() as session:
        assert devices.pair(session, "CODE", "key", AT, NOW).id == first
        with pytest.raises(NotAllowed):
            devices.pair(session, "CODE", "another key", AT, NOW)


def test_a_code_ends(bare_store: Store) -> None:
    with bare_store.writing() as session:
        ends = devices.offer(session, "CODE", "tablet", "bench", NOW).expires_at
        assert ends == NOW + timedelta(minutes=10)
        with pytest.raises(NotAllowed, match="older than ten minutes"):
            devices.pair(session, "CODE", "key", AT, ends)


def test_hashes_are_sha_256() -> None:
    """Source: the value of "abc" in FIPS 180-2, appendix B.1."""
    said = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert devices.hash_of("abc") == said


def test_a_device_is_found_by_its_key_until_it_is_sent_away(bare_store: Store) -> None:
    id = pair(bare_store)
    with bare_store.writing() as session:
        found = devices.find(session, "key")
        assert found is not None
        assert found.id == id
        assert devices.find(session, found.key_hash) is None
        devices.revoke(session, id, None, NOW)
        devices.revoke(session, id, None, NOW + timedelta(days=1))
        assert devices.find(session, "key") is None
        assert devices.list_devices(session) == []
        row = session.get(DeviceRow, id)
        assert row is not None
        assert row.revoked_at == NOW
        for gone in (id, 99):
            with pytest.raises(NotFound):
                devices.rename(session, gone, "x", None, NOW)
        with pytest.raises(NotFound):
            devices.revoke(session, 99, None, NOW)


def test_a_device_sent_away_does_not_come_back_by_its_old_form(bare_store: Store) -> None:
    id = pair(bare_store)
    with bare_store.writing() as session:
        devices.revoke(session, id, None, NOW)
        with pytest.raises(NotAllowed):
            devices.pair(session, "CODE", "key", AT, NOW)


def test_being_seen_moves_no_head(bare_store: Store) -> None:
    id = pair(bare_store)
    with bare_store.reading() as session:
        before = head(session)
    later = NOW + timedelta(hours=1)
    with bare_store.noting() as session:
        devices.note_seen(session, id, later)
    with bare_store.reading() as session:
        row = session.get(DeviceRow, id)
        assert row is not None
        assert row.seen_at == later
        assert head(session) == before
        assert [devices.is_due(row, later + timedelta(minutes=m)) for m in (4, 5)] == [False, True]


def test_who_was_paired_elsewhere_is_told(bare_store: Store) -> None:
    pair(bare_store)
    with bare_store.reading() as session:
        assert devices.elsewhere(session, {AT, "http://shop.local:8750"}) == []
        assert [d.name for d in devices.elsewhere(session, {"http://192.168.1.9:8750"})] == ["tablet"]
