"""PINs as slow salted hashes, and waits that double with each wrong try."""

import hashlib
from datetime import timedelta

from shoptrack.store import pins
from shoptrack.store.db import Store
from shoptrack.store.tables import PersonRow, PinRow
from tests.joinery import NOW, PIET, UNA, Joinery

SALT = "00" * 16


def test_the_hash_is_scrypt() -> None:
    """Source: RFC 7914 section 12, the second and third vectors; the third has the cost that is used here."""
    assert (
        hashlib.scrypt(b"password", salt=b"NaCl", n=1024, r=8, p=16, dklen=64)
        .hex()
        .startswith("fdbabe1c9d34")
    )
    salt = b"SodiumChloride".hex()
    assert pins.derive("pleaseletmein", salt) == (
        "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
    )


def test_only_the_pin_itself_is_right() -> None:
    row = PinRow(person_id=1, salt=SALT, hash=pins.derive("0123", SALT))
    assert pins.is_right(row, "0123")
    for wrong in ("123", "01234", "", "０１２３", row.hash):
        assert not pins.is_right(row, wrong)


def test_the_same_pin_of_two_people_is_kept_as_two(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        one = pins.put(session, UNA, SALT, pins.derive("1234", SALT), NOW)
        other = pins.put(session, PIET, "11" * 16, pins.derive("1234", "11" * 16), NOW)
        assert one.hash != other.hash
        assert "1234" not in one.hash + one.salt


def test_each_wrong_try_doubles_the_wait_to_an_hour(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = pins.put(session, UNA, SALT, "x", NOW)
        waits = []
        for _ in range(15):
            pins.note_try(session, UNA, False, NOW)
            waits.append(pins.wait_left(row, NOW).total_seconds())
        assert waits == [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048, 3600, 3600, 3600]
        assert pins.wait_left(row, NOW + timedelta(hours=1)) == timedelta(0)
        pins.note_try(session, UNA, True, NOW)
        assert (row.failures, pins.wait_left(row, NOW)) == (0, timedelta(0))
        pins.note_try(session, UNA, False, NOW)
        assert pins.wait_left(row, NOW) == timedelta(seconds=1)


def test_a_wait_by_a_clock_that_was_wrong_locks_nobody_out(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = pins.put(session, UNA, SALT, "x", NOW)
        row.wait_until = NOW + timedelta(days=400)
        assert pins.wait_left(row, NOW) == timedelta(0)


def test_whoever_left_the_shop_locks_nothing(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        pins.put(session, UNA, SALT, "x", NOW)
        assert pins.holders(session) == {UNA: NOW}
        una = session.get(PersonRow, UNA)
        assert una is not None
        una.retired_at = NOW
        session.flush()
        assert pins.holders(session) == {}


def test_a_pin_is_taken_away_once(bare_store: Store, joinery: Joinery) -> None:
    with bare_store.writing() as session:
        pins.put(session, UNA, SALT, "x", NOW)
        assert [pins.remove(session, UNA), pins.remove(session, UNA)] == [True, False]
        assert pins.find(session, UNA) is None
        pins.note_try(session, UNA, False, NOW)
        assert pins.find(session, UNA) is None
